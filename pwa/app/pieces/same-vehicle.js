/** Other cases of this vehicle, by VIN or plate: those on this phone at once, the shop's where it answers. */
import { caseListing } from '../case-list.js';
import { html } from '../html.js';
import { CaseRow } from './case-row.js';
import { useFromShop } from './from-shop.js';

/** @param {{id: string, vehicle: {vin?: string, plate?: string}}} props */
export function SameVehicle({ id, vehicle }) {
  const { found } = useFromShop(`/api/cases/${id}/same-vehicle`);
  const lines = caseListing.value.cases ?? [];
  const here = lines.filter((line) => line.case !== id && (same(line.vin, vehicle.vin) || same(line.plate, vehicle.plate)));
  const known = new Set(lines.map((line) => line.case));
  const listed = new Set(here.map((line) => line.case));
  const others = [
    ...here.map((line) => ({ ...line, what: '', last_ms: line.lastAt, people: [] })),
    ...(found?.cases ?? []).filter((/** @type {any} */ one) => !listed.has(one.case)),
  ];
  if (!others.length) return null;
  return html`<section class="stack close" aria-label="This vehicle before and since">
    <h2>This vehicle before and since</h2>
    <ul class="ruled">
      ${others.map((one) => html`<li key=${one.case}><${CaseRow} one=${one} here=${known.has(one.case)} /></li>`)}
    </ul>
  </section>`;
}

/** Whether these are the same plate or VIN, however typed; nothing is the same as nothing. @param {string | undefined} a @param {string | undefined} b */
export function same(a, b) {
  return Boolean(bare(a)) && bare(a) === bare(b);
}

/** Without capitals, spaces and dashes. @param {string | undefined} text */
function bare(text) {
  return (text ?? '').toLowerCase().replace(/[^\p{L}\p{N}]/gu, '');
}
