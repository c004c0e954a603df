/** Where the round stands: a balloon for each cylinder, ticked when done; each leads to its place. */
import { html } from '../html.js';
import { entryAt } from '../rounds.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';

/** Findings that speak against nothing; of a drop test only a full drop is one. */
const WELL = ['good', 'in_range', 'none', 'full'];

/** @param {import('../../field/log.js').Entry | undefined} entry  without a finding it is not judged */
function isWell(entry) {
  const { check, finding } = entry?.body ?? {};
  return !finding || (check === 'drop' ? finding === 'full' : WELL.includes(finding));
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
        return html`<li key=${station.number}>
          <button
            type="button"
            class=${`balloon ${done ? 'done' : ''}`}
            aria-current=${index === at ? 'step' : undefined}
            aria-label=${done ? phrase('{words}, done', { words: station.words }) : station.words}
            onClick=${() => onGo(index)}
          >
            ${station.number}${done && html`<${Icon} name=${isWell(found) ? 'tick' : 'cross'} />`}
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
