/** A car that was here before: what is known of it and its owner need not be typed again. */
import { useState } from 'preact/hooks';
import { entriesOf } from '../../field/log.js';
import { standing } from '../../field/summaries.js';
import { caseListing } from '../case-list.js';
import { html } from '../html.js';
import { sayTrouble } from '../said.js';
import { phrase } from '../tongue.js';
import { Notice } from './notice.js';
import { same } from './same-vehicle.js';

/** @param {{form: import('./form.js').Form}} props  of a new case */
export function KnownVehicle({ form }) {
  const [taken, setTaken] = useState('');
  const { plate, vin } = form.get('opened.vehicle') ?? {};
  const lines = (caseListing.value.cases ?? []).filter((line) => same(line.vin, vin) || same(line.plate, plate));
  const [latest] = lines.sort((a, b) => b.lastAt - a.lastAt);
  if (!latest || latest.case === taken) return null;
  const take = async () => {
    const opened = standing(await entriesOf(latest.case)).findLast(({ kind }) => kind === 'case_opened')?.body;
    if (!opened) return;
    const typed = form.get('opened');
    form.set('opened', {
      ...typed,
      vehicle: { ...opened.vehicle, ...typed.vehicle },
      engine: opened.engine,
      ...(opened.customer || typed.customer ? { customer: { ...opened.customer, ...typed.customer } } : {}),
    });
    setTaken(latest.case);
  };
  return html`<${Notice} title="This car was here before">
    <p>${[latest.title, latest.customer].filter(Boolean).join(', ')}</p>
    <button type="button" class="key" onClick=${() => void take().catch((trouble) => sayTrouble(trouble.message))}>${phrase('Take over car, engine and customer')}</button>
  <//>`;
}
