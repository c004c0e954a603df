/** The end of a round: all cylinders side by side, so that the odd one shows. */
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { entryAt } from '../rounds.js';
import { phrase } from '../tongue.js';
import { CaseScreen } from './case-screen.js';
import { Compared } from './compared.js';

/**
 * @param {object} props
 * @param {string} props.id
 * @param {import('../declared.js').Check} props.check
 * @param {import('../rounds.js').Round} props.round
 * @param {ReturnType<typeof import('../rounds.js').stations>} props.stations
 * @param {import('../../field/log.js').Entry[]} props.entries
 * @param {(index: number) => void} props.onBackTo
 * @param {() => Promise<void>} props.onDone
 */
export function RoundEnd({ id, check, round, stations, entries, onBackTo, onDone }) {
  const left = stations.filter((station) => !entryAt(entries, round.id, station));
  const keys = html`<button type="button" class="key main wide tall" onClick=${() => void onDone()}>Done</button>`;
  const columns = stations.map((station) => ({ station, entry: entryAt(entries, round.id, station) }));
  return html`<${CaseScreen} id=${id} title=${phrase('{label}, side by side', { label: check.label })} keys=${keys} class="round-end">
    ${left.length > 0 && html`<p>Left out: ${left.map((station) => station.words.toLowerCase()).join(', ')}.</p>`}
    <${Compared}
      id=${id}
      check=${check}
      columns=${columns}
      view=${openCase.value?.view ?? null}
      onGo=${(/** @type {number} */ index) => onBackTo(index)}
    />
  <//>`;
}
