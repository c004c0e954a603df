/** The same thing on every cylinder, side by side: as pictures where there are photos, else as rows of findings and figures. */
import { useState } from 'preact/hooks';
import { labelOf } from '../declared.js';
import { figuresOf } from '../figures-read.js';
import { html } from '../html.js';
import { detailsOf, photosAt, standsOut } from '../rounds.js';
import { phrase } from '../tongue.js';
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
  const found = columns.map(({ station, entry }) => (view ? photosAt(view, check, station, entry?.id) : []));
  const details = detailsOf(found.flat());
  const [chosen, setChosen] = useState(/** @type {string | null} */ (null));
  const detail = chosen !== null && details.includes(chosen) ? chosen : details[0];
  const pictures = details.length > 0;
  return html`${
    details.length > 1 &&
    html`<div class="keys compared-details" role="group" aria-label="What the photos show">
      ${details.map(
        (one) => html`<button
          type="button"
          class="key"
          key=${one}
          aria-pressed=${one === detail}
          onClick=${() => setChosen(one)}
        >${labelOf('photo', 'detail', one) || phrase('Whole')}</button>`,
      )}
    </div>`
  }
  <ol class=${pictures ? 'compared' : 'compared-rows'}>
    ${columns.map(
      ({ station, entry }, index) => html`<li key=${station.number} class=${pictures ? 'compared-one' : 'compared-row'}>
        <p class="compared-number">
          <span class="balloon" aria-hidden="true">${station.number}</span><span class="unseen">${station.words}</span>
        </p>
        ${pictures && html`<${Side} id=${id} check=${check} station=${station} photo=${found[index].find((/** @type {any} */ one) => (one.detail ?? '') === detail)} />`}
        <div class="compared-said">
          <${Finding} check=${check} entry=${entry} view=${view} />
          ${entry && html`<${Figures} ...${entry.body} />`}
          ${entry?.body.note && html`<p class="hand">${entry.body.note}</p>`}
        </div>
        ${
          onGo &&
          html`<button
          type="button"
          class="key quiet"
          aria-label=${phrase('Look again at {words}', { words: station.words.toLowerCase() })}
          onClick=${() => onGo(index)}
        ><${Icon} name="turn" />Again</button>`
        }
      </li>`,
    )}
  </ol>`;
}

/** @param {{id: string, check: import('../declared.js').Check, station: {words: string}, photo: any}} props */
function Side({ id, check, station, photo }) {
  if (!photo) return html`<span class="picture-none">no photo</span>`;
  const words = phrase('{station}: {check}', { station: station.words, check: check.label });
  return html`<a href=${to('case', id, 'picture', photo.sha256, check.key)}><${Picture} sha256=${photo.sha256} alt=${words} /></a>`;
}

/**
 * What was found, marked where it stands out. A reading without a finding of its own is shown as it was graded.
 * @param {{check: import('../declared.js').Check, entry?: import('../../field/log.js').Entry, view: import('../open-case.js').Told | null}} props
 */
function Finding({ check, entry, view }) {
  if (!entry) return html`<p class="compared-finding soft">left out</p>`;
  const graded = (view?.cylinders ?? [])
    .flatMap((/** @type {any} */ one) => one.findings)
    .find((/** @type {any} */ one) => one.entry === entry.id);
  const finding = entry.body.finding ?? graded?.finding;
  const label = check.findings.find((one) => one.value === finding)?.label ?? '';
  return html`<p class="compared-finding">${standsOut(check.key, finding) && html`<${Icon} name="warn" />`}${label}</p>`;
}

/** What was read at a station, in numbers. @param {Record<string, any>} body */
function Figures(body) {
  const told = figuresOf(body);
  return told && html`<p class="figures">${told}</p>`;
}
