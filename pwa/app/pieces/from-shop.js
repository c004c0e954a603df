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
 *
 * @param {string} path
 * @returns {Asked}
 */
export function useFromShop(path) {
  const [found, setFound] = useState(/** @type {any} */ (null));
  const [trouble, setTrouble] = useState('');
  const asked = useRef(path);
  asked.current = path;
  const read = async () => {
    const trouble = await sendForJson('GET', path).then(
      (answer) => {
        if (asked.current === path) setFound(answer); // else another was typed meanwhile, and what it finds may be here already
        return '';
      },
      (/** @type {Error} */ problem) => problem.message,
    );
    if (asked.current === path) setTrouble(trouble);
  };
  useEffect(() => void read(), [path]);
  return { found, trouble, read };
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
