/** How much the engine shakes with all cylinders connected: measured before the repair and after it, for the report. */
import { useState } from 'preact/hooks';
import { useAwake } from '../awake.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { PlainField } from '../pieces/plain-field.js';
import { Countdown, LayPhone, Told, useMeasuring } from '../pieces/engine-measure.js';
import { goInstead, home } from '../route.js';
import { saveAll } from '../saving.js';
import { settings } from '../settings.js';
import { phrase } from '../tongue.js';
import { plainNumber } from '../units.js';

/** @param {{id: string}} props */
export function Shake({ id }) {
  useAwake();
  const [told, setTold] = useState(/** @type {import('../../field/core.js').Answer | null} */ (null));
  const [typed, setTyped] = useState('');
  const { left, busy, run } = useMeasuring();
  const cylinders = openCase.value?.view?.engine?.cylinders;
  const measureNow = async () => {
    setTold(null);
    const rpm = plainNumber(typed);
    setTold(await run('shake', { cylinders, rests: settings.value.phoneRests, ...(Number(rpm) > 0 ? { rpm } : {}) }, true));
  };
  const keep = async () => {
    const { entries } = await saveAll([{ case: id, kind: 'shake_measured', body: told?.body }]);
    if (entries.length) goInstead(home(id));
  };
  const keys = html`<div class="stack close">
    ${told?.body && html`<button type="button" class="key main wide tall" onClick=${() => void keep()}>Keep it</button>`}
    <button
      type="button"
      class=${told?.body ? 'key wide' : 'key main wide tall'}
      disabled=${busy || !cylinders}
      onClick=${() => void measureNow()}
    >${told ? phrase('Measure again') : phrase('Measure')}</button>
  </div>`;
  return html`<${CaseScreen} id=${id} title="Engine shake" needsView=${true} keys=${keys}>
    <div class="stack">
      <p>
        All cylinders connected. Measured before the repair and after it, in the same place, the report tells the owner
        how much less the engine shakes.
      </p>
      <${Countdown} left=${left} busy=${busy} />
      <${Told} told=${told} />
      <${LayPhone} />
      <${PlainField} label="Engine speed, if the tachometer shows it" value=${typed} onInput=${setTyped} />
    </div>
  <//>`;
}
