/** The frame of a screen: title with the way back, what is on it, and the keys that stay at the bottom. */
import { useEffect, useRef } from 'preact/hooks';
import { html } from '../html.js';
import { goInstead } from '../route.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';

/**
 * @param {{title: string, under?: any, back?: string, backWords?: string, aside?: any, keys?: any, class?: string, children?: any}} props
 *   `under`: a line below the title; `back`: where the arrow leads; `keys`: what stands at the bottom
 */
export function Screen({ title, under, back, backWords = phrase('Back'), aside, keys, class: kind = '', children }) {
  const heading = useRef(/** @type {HTMLHeadingElement | null} */ (null));
  useEffect(() => {
    document.title = `${title} · Coiltrail`;
  }, [title]);
  useEffect(() => {
    // What a piece of this screen has chosen to focus keeps it: either may come first.
    if (!heading.current?.closest('.screen')?.contains(document.activeElement)) heading.current?.focus({ preventScroll: true });
    scrollTo(0, 0);
  }, []);
  /** Another tab or window is the browser's to open. @param {MouseEvent} event */
  const leave = (event) => {
    if (!back || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    goInstead(back);
  };
  return html`<div class=${`screen ${kind}`}>
    <header class="screen-head">
      ${back && html`<a class="key quiet back" href=${back} aria-label=${backWords} onClick=${leave}><${Icon} name="back" /></a>`}
      <div class="screen-title">
        <h1 tabindex="-1" ref=${heading}>${title}</h1>
        ${under}
      </div>
      ${aside}
    </header>
    <main class="screen-main">
      <div class="screen-body">${children}</div>
      ${keys && html`<div class="screen-keys">${keys}</div>`}
    </main>
  </div>`;
}
