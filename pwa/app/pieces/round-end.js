/** The end of a round: all cylinders side by side, so that the odd one shows. */
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { foundAt } from '../rounds.js';
import { phrase } from '../tongue.js';
import { CaseScreen } from './case-screen.js';
import { Compared } from './compared.js';
import { Icon } from './icon.js';

/**
 * @param {object} props
 * @param {string} props.id
 * @param {import('../declared.js').Check} props.check
 * @param {import('../rounds.js').Round} props.round
 * @param {ReturnType<typeof import('../rounds.js').stations>} props.stations
 * @param {import('../../field/log.js').Entry[]} props.entries
 * @param {(index: number) => void} props.onBackTo
 * @param {(step?: any) => Promise<void>} props.onDone  `step`: what the advice puts first now, to go on with
 */
export function RoundEnd({ id, check, round, stations, entries, onBackTo, onDone }) {
  const view = openCase.value?.view ?? null;
  const columns = stations.map((station) => ({ station, entry: foundAt(entries, view, check, round.id, station) }));
  const left = columns.filter(({ entry }) => !entry).map(({ station }) => station);
  const step = nextStep();
  // What comes when the thought is done stands above, so that no key moves under a thumb.
  const keys = html`
    ${
      step &&
      html`<button type="button" class="key main wide tall round-next" onClick=${() => void onDone(step)}>
      ${phrase('Next: {step}', { step: step.title })}<${Icon} name="onward" />
    </button>`
    }
    <button type="button" class=${`key wide tall ${step ? '' : 'main'}`} onClick=${() => void onDone()}>Done</button>
  `;
  return html`<${CaseScreen} id=${id} title=${phrase('{label}, side by side', { label: check.label })} keys=${keys} class="round-end">
    ${left.length > 0 && html`<p>Left out: ${left.map((station) => station.words.toLowerCase()).join(', ')}.</p>`}
    <${Compared}
      id=${id}
      check=${check}
      columns=${columns}
      view=${view}
      onGo=${(/** @type {number} */ index) => onBackTo(index)}
    />
  <//>`;
}

/** What the advice puts first, once it knows of this round; a question is answered at the case. */
function nextStep() {
  const open = openCase.value;
  const first = open?.thinking ? null : open?.diagnosis?.steps[0];
  return first?.kind === 'answered' ? null : first;
}
