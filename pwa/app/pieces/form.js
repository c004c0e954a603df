/**
 * A form whose content outlives the page: every change is kept as a draft until the form is done.
 *
 * @typedef {object} Form
 * @property {Record<string, any>} values
 * @property {import('../../field/kinds.js').Problem[]} problems
 * @property {boolean} ready  the draft has been read
 * @property {boolean} kept  there was a draft
 * @property {(path: string) => any} get
 * @property {(path: string, value: any) => void} set  undefined, '' and [] take the value away
 * @property {(problems: import('../../field/kinds.js').Problem[]) => void} refuse
 * @property {(path: string) => string} problemAt  the message for that field, else ''
 * @property {() => Promise<void>} done  drop the draft
 */
import { useEffect, useMemo, useRef } from 'preact/hooks';
import { signal } from '@preact/signals';
import * as drafts from '../../field/drafts.js';
import { inHand } from '../../field/release.js';
import { hush } from '../said.js';

/**
 * @param {string} key  of the draft
 * @param {() => Record<string, any>} atFirst  what the form starts from
 * @returns {Form}
 */
export function useForm(key, atFirst) {
  const state = useMemo(
    () =>
      signal({
        values: /** @type {Record<string, any>} */ ({}),
        problems: /** @type {any[]} */ ([]),
        ready: false,
        kept: false,
      }),
    [key],
  );
  const writer = useMemo(() => draftWriter(key), [key]);
  const putDown = useRef(/** @type {(() => void) | null} */ (null));
  useEffect(() => {
    let gone = false;
    void drafts
      .kept(key)
      .catch(() => undefined)
      .then((kept) => {
        if (!gone) state.value = { ...state.value, values: kept ?? atFirst(), ready: true, kept: kept !== undefined };
      });
    return () => {
      gone = true;
      putDown.current?.();
      putDown.current = null;
    };
  }, [key]);

  const { values, problems, ready, kept } = state.value;
  return {
    values,
    problems,
    ready,
    kept,
    get: (path) => at(state.value.values, path),
    set(path, value) {
      const changed = withValue(state.value.values, path.split('.'), value);
      const left = state.value.problems.filter((problem) => problem.field !== path);
      if (left.length < state.value.problems.length && !left.length) hush(); // what was said of them is settled
      state.value = { ...state.value, values: changed, problems: left };
      putDown.current ??= inHand();
      writer.write(changed);
    },
    refuse(found) {
      state.value = { ...state.value, problems: found };
      requestAnimationFrame(() => {
        const first = /** @type {HTMLElement | null} */ (document.querySelector('[aria-invalid="true"]'));
        first?.focus();
      });
    },
    problemAt: (path) => problems.find((problem) => problem.field === path)?.message ?? '',
    async done() {
      await writer.drop();
    },
  };
}

/**
 * Writes at once, and while a write is under way only the latest of what comes after it: a page that is killed loses no
 * more than the last touch.
 * @param {string} key
 */
function draftWriter(key) {
  /** @type {Record<string, any> | null} */
  let waiting = null;
  let dropped = false;
  /** @type {Promise<void> | null} */
  let writing = null;
  const writeAll = async () => {
    while (waiting) {
      const values = waiting;
      waiting = null;
      await drafts.keep(key, values).catch(() => undefined);
    }
    writing = null;
  };
  return {
    /** @param {Record<string, any>} values */
    write(values) {
      if (dropped) return;
      waiting = values;
      writing ??= writeAll();
    },
    async drop() {
      dropped = true;
      waiting = null;
      await writing;
      await drafts.drop(key).catch(() => undefined);
      dropped = false;
    },
  };
}

/** @param {any} values @param {string} path */
function at(values, path) {
  return path.split('.').reduce((inner, name) => inner?.[name], values);
}

/** @param {any} values @param {string[]} path @param {any} value @returns {Record<string, any>} */
function withValue(values, [name, ...rest], value) {
  const copy = { ...values };
  const next = rest.length ? withValue(copy[name], rest, value) : value;
  const empty =
    next === undefined ||
    next === null ||
    next === '' ||
    (Array.isArray(next) && !next.length) ||
    (rest.length > 0 && !Object.keys(next).length);
  if (empty) delete copy[name];
  else copy[name] = next;
  return copy;
}
