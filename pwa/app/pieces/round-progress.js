/** Where the round stands: a balloon for each cylinder, ticked when it was found well; each leads to its place. */
import { html } from '../html.js';
import { caseView } from '../open-case.js';
import { findingOf, foundAt, standsOut } from '../rounds.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';

/**
 * @param {object} props
 * @param {import('../../field/kinds.js').Check} props.check
 * @param {ReturnType<typeof import('../rounds.js').stations>} props.stations
 * @param {number} props.at
 * @param {import('../../field/log.js').Entry[]} props.entries
 * @param {import('../rounds.js').Round} props.round
 * @param {(index: number) => void} props.onGo
 */
export function RoundProgress({ check, stations, at, entries, round, onGo }) {
  return html`<ol class="balloons">
    ${stations.map((station, index) => {
      const found = foundAt(entries, caseView.value, check, round.id, station);
      const done = Boolean(found);
      const finding = findingOf(found, caseView.value);
      const odd = standsOut(found?.body.check, finding);
      return html`<li key=${station.number}>
        <button
          type="button"
          class=${`balloon ${odd ? 'odd' : ''}`}
          aria-current=${index === at ? 'step' : undefined}
          aria-label=${odd ? phrase('{words}, done, stands out', { words: station.words }) : done ? phrase('{words}, done', { words: station.words }) : station.words}
          onClick=${() => onGo(index)}
        >
          ${station.number}${done && html`<${Icon} name=${odd ? 'cross' : finding ? 'tick' : 'more'} />`}
        </button>
      </li>`;
    })}
  </ol>`;
}
