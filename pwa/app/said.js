/** The one line that says what just happened. Good news goes by itself; trouble stays until it is closed. */
import { signal } from '@preact/signals';

/** @type {import('@preact/signals').Signal<{text: string, trouble: boolean, n: number} | null>} */
export const said = signal(null);

let n = 0;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;

/** @param {string} text */
export function say(text) {
  show(text, false);
  timer = setTimeout(hush, 2500);
}

/** @param {string} text */
export function sayTrouble(text) {
  show(text, true);
}

export function hush() {
  clearTimeout(timer);
  said.value = null;
}

/** @param {string} text @param {boolean} trouble */
function show(text, trouble) {
  clearTimeout(timer);
  n += 1;
  said.value = { text, trouble, n };
}
