/** Where the round stands: a balloon for each cylinder, ticked when done; each leads to its place. */
import { check as checkOf } from '../declared.js';
import { html } from '../html.js';
import { entryAt } from '../rounds.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';

/** @param {import('../../field/log.js').Entry | undefined} entry  without a finding it is not judged */
function standsOut(entry) {
  const { check, finding } = entry?.body ?? {};
  return Boolean(finding) && !checkOf(check)?.well.includes(finding);
}

/**
 * @param {object} props
 * @param {ReturnType<typeof import('../rounds.js').stations>} props.stations
 * @param {number} props.at
 * @param {import('../../field/log.js').Entry[]} props.entries
 * @param {import('../rounds.js').Round} props.round
 * @param {(index: number) => void} props.onGo
 * @param {(order: 'number' | 'firing') => void} [props.reorder]
 */
export function RoundProgress({ stations, at, entries, round, onGo, reorder }) {
  const firing = round.order === 'firing';
  return html`<div class="progress">
    <ol class="balloons">
      ${stations.map((station, index) => {
        const found = entryAt(entries, round.id, station);
        const done = Boolean(found);
        const odd = standsOut(found);
        return html`<li key=${station.number}>
          <button
            type="button"
            class=${`balloon ${odd ? 'odd' : ''}`}
            aria-current=${index === at ? 'step' : undefined}
            aria-label=${odd ? phrase('{words}, done, stands out', { words: station.words }) : done ? phrase('{words}, done', { words: station.words }) : station.words}
            onClick=${() => onGo(index)}
          >
            ${station.number}${done && html`<${Icon} name=${odd ? 'cross' : 'tick'} />`}
          </button>
        </li>`;
      })}
    </ol>
    ${
      reorder &&
      stations.length > 1 &&
      html`<button
        type="button"
        class="key quiet"
        onClick=${() => reorder(firing ? 'number' : 'firing')}
      >${firing ? phrase('Go by number') : phrase('Go by firing order')}</button>`
    }
  </div>`;
}
