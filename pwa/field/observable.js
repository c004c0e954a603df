/**
 * A value that tells its readers when it changes.
 *
 * @template {object} T
 * @typedef {object} Observable
 * @property {T} value  the value as it stands; read only
 * @property {(listener: (value: T) => void) => (() => void)} subscribe  calls `listener` at once and after each
 *   change; gives the function that ends it
 */

/**
 * @template {object} T
 * @param {T} initial
 * @returns {Observable<T> & {change: (part: Partial<T>) => void}}
 */
export function observable(initial) {
  let value = initial;
  /** @type {Set<(value: T) => void>} */
  const listeners = new Set();
  return {
    get value() {
      return value;
    },
    subscribe(listener) {
      listeners.add(listener);
      listener(value);
      return () => listeners.delete(listener);
    },
    change(part) {
      value = { ...value, ...part };
      for (const listener of [...listeners]) listener(value);
    },
  };
}
