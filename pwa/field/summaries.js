/** The list of cases: one line each, a plain projection of the case's entries with no rule of the trade in it. */
import { compare } from './clock.js';
import { struckIn } from './struck.js';

/**
 * Write the lines of these cases anew, within the transaction that changed them.
 * @param {any} tx  over `entries` and `cases`
 * @param {Iterable<string>} cases
 */
export async function refreshSummaries(tx, cases) {
  for (const caseId of cases) {
    const rows = await tx.objectStore('entries').index('case').getAll(caseId);
    await tx.objectStore('cases').put(summarise(caseId, rows));
  }
}

/**
 * @param {string} caseId
 * @param {import('./database.js').EntryRow[]} rows  all entries of the case
 * @returns {import('./log.js').Summary}
 */
export function summarise(caseId, rows) {
  const effective = rows.filter(({ withheld }) => !withheld);
  const entries = effective.map((row) => row.entry).sort((a, b) => compare(a.at, b.at));
  const counts = standing(entries);
  const opened = counts.findLast((entry) => entry.kind === 'case_opened');
  const turned = counts.findLast((entry) => ['case_closed', 'case_reopened'].includes(entry.kind));
  const erased = counts.some((entry) => entry.kind === 'erased' && entry.body.entries?.includes(opened?.id));
  const vehicle = opened?.body.vehicle ?? {};
  const plate = erased ? '' : (vehicle.plate ?? '');
  const car = [vehicle.year, vehicle.make, vehicle.model].filter(Boolean).join(' ');
  const vin = erased ? '' : (vehicle.vin ?? '');
  return {
    case: caseId,
    title: car || plate || vin,
    plate,
    vin,
    customer: erased ? '' : (opened?.body.customer?.name ?? ''),
    opened: (entries.find((entry) => entry.kind === 'case_opened') ?? entries[0])?.at[0] ?? 0,
    lastAt: entries.at(-1)?.at[0] ?? 0,
    status: turned?.kind === 'case_closed' ? 'closed' : 'open',
    repaired: counts.some(({ kind, when }) => kind === 'repair' && !(when && 'before_arrival' in when)),
    unsynced: rows.filter((row) => row.unsynced).length,
  };
}

/** The entries that no standing strike names. @param {import('./log.js').Entry[]} entries */
export function standing(entries) {
  const struck = struckIn(entries);
  return entries.filter(({ id }) => !struck.has(id));
}
