/** Says that a screen goes on beneath the keys at its bottom, and leads there. Stands first among the keys. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { html } from '../html.js';
import { Icon } from './icon.js';

export function MoreBelow() {
  const mark = useRef(/** @type {HTMLDivElement | null} */ (null));
  const [more, setMore] = useState(false);
  useEffect(() => {
    const body = mark.current?.closest('.screen-main')?.querySelector('.screen-body');
    if (!mark.current || !body) return undefined;
    const measure = () => setMore(covered(mark.current, body) > 1);
    const sizes = new ResizeObserver(measure);
    for (const one of [body, ...body.children, mark.current.parentElement]) if (one) sizes.observe(one);
    addEventListener('scroll', measure, { passive: true });
    return () => {
      sizes.disconnect();
      removeEventListener('scroll', measure);
    };
  });
  const readOn = () => {
    const body = mark.current?.closest('.screen-main')?.querySelector('.screen-body');
    if (mark.current && body) scrollBy(0, Math.min(covered(mark.current, body) + 8, mark.current.getBoundingClientRect().top * 0.7));
  };
  return html`<div class="more-below" ref=${mark}>
    ${more && html`<button type="button" class="key quiet" onClick=${readOn}><${Icon} name="down" />Read on<//>`}
  </div>`;
}

/**
 * How much of what a screen says lies below what is seen of it, px. The room that the key takes itself does not count: it must
 * not come and go by its own doing.
 * @param {Element | null} mark @param {Element} body
 */
function covered(mark, body) {
  const last = body.lastElementChild;
  if (!mark || !last) return 0;
  const [keys, said] = [mark.getBoundingClientRect(), body.getBoundingClientRect()];
  const beside = keys.left >= said.right - 1; // on a phone on its side
  return last.getBoundingClientRect().bottom - (beside ? innerHeight : keys.bottom);
}
