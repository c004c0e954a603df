/** A found case on one row: who, what, when, and how it stands. */
import { html } from '../html.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { day } from '../words.js';
import { Icon } from './icon.js';

/** @param {{one: import('../find-cases.js').Hit, here: boolean}} props  `here`: this phone holds it */
export function CaseRow({ one, here }) {
  const plate = one.plate !== one.title && one.plate;
  return html`<a class="case-row" href=${to('case', one.case)}>
    <span class="case-title">${one.title}</span>
    <span class="case-day">${one.status === 'closed' ? phrase('Closed') : phrase('Open')}, ${day(one.last_ms)}</span>
    <span class="case-second">
      ${plate && html`<span class="plate">${plate}</span>`}${one.customer && html`<span>${one.customer}</span>`}
      ${one.what && html`<span>${one.what}</span>`}
    </span>
    ${!here && html`<span class="case-here"><${Icon} name="shop" />In the shop, not on this device yet</span>`}
  </a>`;
}
