/** What a screen asks of the shop: on its way, in trouble with a way to try again, or here. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { sendForJson } from '../../field/shop.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { Notice } from './notice.js';

/**
 * @typedef {object} Asked
 * @property {any} found  what the shop answered last, null before
 * @property {string} trouble
 * @property {() => Promise<void>} read  ask again
 * @property {() => Promise<void>} more  the next page, behind those that are here
 *
 * @param {string} path
 * @param {string} [rows]  name of the answer's list, where that comes in pages (`cursor`: null after the last)
 * @returns {Asked}
 */
export function useFromShop(path, rows = '') {
  const [found, setFound] = useState(/** @type {any} */ (null));
  const [trouble, setTrouble] = useState('');
  const asked = useRef(path);
  asked.current = path;
  /** @param {number | null} cursor */
  const ask = async (cursor) => {
    const paged = cursor === null ? path : `${path}${path.includes('?') ? '&' : '?'}cursor=${cursor}`;
    const trouble = await sendForJson('GET', paged).then(
      (answer) => {
        if (asked.current !== path) return ''; // another was typed meanwhile, and what it finds may be here already
        if (cursor === null) setFound(answer);
        else setFound((/** @type {any} */ held) => (held.cursor === cursor ? { ...answer, [rows]: [...held[rows], ...answer[rows]] } : held)); // a second tap
        return '';
      },
      (/** @type {Error} */ problem) => problem.message,
    );
    if (asked.current === path) setTrouble(trouble);
  };
  useEffect(() => void ask(null), [path]);
  return { found, trouble, read: () => ask(null), more: () => ask(found.cursor) };
}

/** Leads to what is not listed yet, where there is more. @param {{asked: Asked}} props */
export function More({ asked }) {
  if ((asked.found?.cursor ?? null) === null) return null;
  return html`<button type="button" class="key" onClick=${() => void asked.more()}>More</button>`;
}

/** @param {{asked: Asked, what: string, children?: any}} props  `what`: as in "The devices could not be read" */
export function FromShop({ asked, what, children }) {
  const { found, trouble, read } = asked;
  return html`${
    trouble &&
    html`<${Notice} tone="warn" title=${phrase('{what} could not be read', { what })}>
      <p>${trouble}</p>
      <button type="button" class="key" onClick=${() => void read()}>Try again</button>
    <//>`
  }
  ${!found && !trouble && html`<p class="soft" aria-busy="true">Asking the shop</p>`}
  ${found && children}`;
}
