/** An observable of the field as a signal, so that screens follow it. */
import { signal } from '@preact/signals';

/**
 * @template {object} T
 * @param {import('../field/observable.js').Observable<T>} observable
 * @returns {import('@preact/signals').ReadonlySignal<T>}
 */
export function watched(observable) {
  const held = signal(observable.value);
  observable.subscribe((value) => {
    held.value = value;
  });
  return held;
}
