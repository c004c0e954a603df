/**
 * What people record at random: two of them on the same cases, right and wrong, moves that cannot both be true, strikes
 * of strikes. Everything is invented.
 */
const ENGINE = { cylinders: 4, layout: 'inline', ignition: 'coil_on_plug', firing_order: [1, 3, 4, 2] };
const DAY_MS = 86_400_000;

/**
 * @param {import('./chance.mjs').Chance} chance
 * @param {object} known
 * @param {boolean} known.isNew  nobody has opened the case yet
 * @param {{id: string, kind: string, body: any}[]} known.entries  of the case, as the phone has them
 * @param {number} known.now  the phone's clock
 * @param {string | null} known.photo  a picture just taken
 * @returns {{kind: string, body: any, when?: any}}
 */
export function draft(chance, { isNew, entries, now, photo }) {
  if (isNew) {
    return { kind: 'case_opened', body: { vehicle: { plate: `TEST ${chance.below(100)}` }, engine: ENGINE } };
  }
  if (photo) return { kind: 'photo', body: { sha256: photo, bytes: 400, width: 8, height: 8, shows: 'coil' } };
  return chance.weighed(KINDS)(chance, entries, now);
}

const KINDS = [
  [4, (chance) => ({ kind: 'note', body: { text: `note ${chance.below(1000)}${'.'.repeat(chance.happens(0.2) ? 900 : 0)}` } })],
  [3, (chance) => ({ kind: 'check', body: { check: 'connector_look', place: `coil.${chance.between(1, 4)}`, finding: chance.of(['good', 'loose']) } })],
  [3, moved],
  [2, answered],
  [3, struck],
  [1, (chance) => ({ kind: 'codes_read', body: { codes: [{ code: `P030${chance.between(0, 4)}`, status: 'stored' }], obtained: 'typed' } })],
  [1, () => ({ kind: 'codes_cleared', body: {} })],
  [1, (chance) => ({ kind: 'repair', body: { work: 'replaced', place: `coil.${chance.between(1, 4)}` } })],
  [1, (chance) => ({ kind: chance.of(['case_closed', 'case_reopened']), body: { cause: 'Coil 3', why: 'It came back' } })],
  [2, (chance, _, now) => ({ kind: 'note', body: { text: 'Earlier' }, when: { ms: now - chance.below(3 * DAY_MS) } })],
  [1, (chance) => ({ kind: 'note', body: { text: 'Before' }, when: { before_arrival: chance.between(1, 3) } })],
  [1, () => ({ kind: 'from_a_newer_release', body: { anything: [1, { at: 'all' }] } })],
  // What the shop sets aside.
  [1, () => ({ kind: 'check', body: { check: 'voltage' } })],
  [2, (chance, _, now) => ({ kind: 'note', body: { text: 'Tomorrow' }, when: { ms: now + chance.between(1, 5) * DAY_MS } })],
];

function moved(chance) {
  const from = chance.between(1, 4);
  const to = chance.happens(0.9) ? (from % 4) + 1 : from; // a part cannot go to where it is: set aside
  return {
    kind: 'parts_moved',
    body: { moves: [{ from: `coil.${from}`, to: `coil.${to}` }, { from: `coil.${to}`, to: `coil.${from}` }] },
  };
}

function answered(chance, entries) {
  const asked = entries.filter(({ kind }) => kind === 'parts_moved');
  if (!asked.length) return moved(chance);
  return { kind: 'answered', body: { question: `stands/${chance.of(asked).id}`, answer: chance.of(['move', 'leave']) } };
}

function struck(chance, entries) {
  if (!entries.length) return { kind: 'codes_cleared', body: {} };
  return { kind: 'struck', body: { entry: chance.of(entries).id, why: 'A slip' } };
}
