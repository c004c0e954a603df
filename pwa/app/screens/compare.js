/** The latest of one check on every cylinder, side by side. */
import { check as checkOf } from '../declared.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { Compared } from '../pieces/compared.js';
import { stations } from '../rounds.js';
import { phrase } from '../tongue.js';
import { Unknown } from './unknown.js';

/** @param {{id: string, parts: string[]}} props */
export function Compare({ id, parts }) {
  const check = checkOf(parts[0]);
  if (!check) return html`<${Unknown} />`;
  const open = openCase.value;
  if (!open?.view || !open.entries) return html`<${CaseScreen} id=${id} title=${check.label} needsView=${true} />`;
  const struck = new Set(
    open.view.timeline.filter((/** @type {any} */ row) => row.struck).map((/** @type {any} */ row) => row.id),
  );
  const columns = stations(open.view.engine, check, 'number').map((station) => ({
    station,
    entry: open.entries?.findLast(
      (entry) =>
        entry.kind === 'check' &&
        entry.body.check === check.key &&
        !struck.has(entry.id) &&
        (station.place ? entry.body.place === station.place : entry.body.cylinder === station.cylinder),
    ),
  }));
  return html`<${CaseScreen} id=${id} title=${phrase('{label}, side by side', { label: check.label })}>
    <${Compared} id=${id} check=${check} columns=${columns} view=${open.view} />
  <//>`;
}
