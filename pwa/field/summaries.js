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

/** What changes more of a line than when the case was last worked on. */
const TELLING = ['case_opened', 'case_closed', 'case_reopened', 'erased', 'repair', 'struck'];

/**
 * The line after entries of this phone that change only its end, which spares reading the whole case at each tap.
 * @param {import('./log.js').Summary | undefined} line
 * @param {import('./log.js').Entry[]} added  the latest of the case, in the order of `at`
 * @returns {import('./log.js').Summary | null} null where it has to be made from all entries
 */
export function grown(line, added) {
  if (line?.repaired === undefined || added.some(({ kind }) => TELLING.includes(kind))) return null; // or of an older release
  return { ...line, lastAt: added.at(-1)?.at[0] ?? line.lastAt, unsynced: line.unsynced + added.length };
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
