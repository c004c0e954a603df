/** The same thing on every cylinder, side by side. */
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { quantityWords } from '../units.js';
import { Icon } from './icon.js';
import { Picture } from './thumbs.js';
import { to } from '../route.js';

/**
 * @param {object} props
 * @param {string} props.id
 * @param {import('../declared.js').Check} props.check
 * @param {{station: {words: string, number: number, cylinder?: number, place?: string}, entry: import('../../field/log.js').Entry | undefined}[]} props.columns
 * @param {import('../open-case.js').Told | null} props.view
 * @param {(index: number) => void} [props.onGo]
 */
export function Compared({ id, check, columns, view, onGo }) {
  return html`<ol class="compared">
    ${columns.map(({ station, entry }, index) => {
      const photos = (view?.photos ?? []).filter((/** @type {any} */ photo) => entry && photo.of === entry.id);
      return html`<li key=${station.number} class="compared-one">
        <p class="compared-number">
          <span class="balloon" aria-hidden="true">${station.number}</span><span class="unseen">${station.words}</span>
        </p>
        ${photos.map(
          (/** @type {any} */ photo) => html`<a
          key=${photo.sha256}
          href=${to('case', id, 'picture', photo.sha256)}
        ><${Picture} sha256=${photo.sha256} alt=${`${station.words}: ${check.label}`} /></a>`,
        )}
        ${!photos.length && html`<span class="picture-none">no photo</span>`}
        <p class=${`compared-finding ${entry ? '' : 'soft'}`}>${findingWords(check, entry, view)}</p>
        ${entry?.body.note && html`<p class="hand">${entry.body.note}</p>`}
        ${
          onGo &&
          html`<button
          type="button"
          class="key quiet"
          aria-label=${phrase('Look again at {words}', { words: station.words.toLowerCase() })}
          onClick=${() => onGo(index)}
        ><${Icon} name="turn" />Again</button>`
        }
      </li>`;
    })}
  </ol>`;
}

/**
 * A reading without a finding of its own is shown as it was graded.
 * @param {import('../declared.js').Check} check
 * @param {import('../../field/log.js').Entry | undefined} entry
 * @param {import('../open-case.js').Told | null} view
 */
function findingWords(check, entry, view) {
  if (!entry) return phrase('left out');
  const { reading, count } = entry.body;
  const graded = (view?.cylinders ?? [])
    .flatMap((/** @type {any} */ one) => one.findings)
    .find((/** @type {any} */ one) => one.entry === entry.id);
  const finding = entry.body.finding ?? graded?.finding;
  const label = check.findings.find((one) => one.value === finding)?.label;
  return [label, quantityWords(reading), count === undefined ? '' : phrase('{n} misfire|{n} misfires', { n: count })].filter(Boolean).join(', ');
}
