/**
 * A round: one check on every cylinder or place, one after the other. Where it stands is kept on the disk, so that a phone
 * that dies in the middle comes back to the same place.
 *
 * @typedef {object} Round
 * @property {string} id  marks the entries of this round
 * @property {'number' | 'firing'} order
 * @property {number} at  index in the order
 * @property {boolean} begun  something was recorded
 * @property {string} disabled  how the cylinder is disabled, for a drop test; empty until it is said in this round
 * @property {Record<string, any>} range  the maker's range and temperature, the same for every station
 * @property {import('./pieces/measured-drop.js').Baseline} [baseline]  of a drop test that the phone measures
 * @property {string[]} [conditions]  as the mechanic said them; until then they follow from when it misses
 * @property {any} [speed]  the engine speed before, as kept last: it is the same for the next cylinder
 * @property {Record<string, Record<string, any> | undefined>} [readings]  typed, not yet recorded, by the number of the station
 * @property {string} note  typed, not yet recorded
 * @property {import('../field/voice.js').KeptVoice[]} [voices]  spoken here, waiting likewise
 * @property {boolean} [typing]  the last cylinder was kept by its reading alone
 * @property {boolean} [filming]  the camera opens by itself at the next cylinder
 * @property {import('./photo-entries.js').Taken[]} photos  taken here, waiting for the finding they belong to
 *
 * @typedef {(part: Partial<Round> | ((latest: Round) => Partial<Round>)) => Promise<void>} ChangeRound
 */
import { placesOf } from './case-look.js';
import { check as checkOf, field } from './declared.js';
import { phrase } from './tongue.js';

/** @param {string} caseId @param {string} check @param {string} [only]  cylinders of a round on some: "1-3" */
export function roundKey(caseId, check, only) {
  return `${roundsOf(caseId)}${check}${only ? `/${only}` : ''}`;
}

/** What the keys of all rounds of a case begin with. @param {string} caseId */
export function roundsOf(caseId) {
  return `round/${caseId}/`;
}

/**
 * What the round goes over: cylinders, or the places of a kind of part.
 * @param {import('./open-case.js').Told} engine
 * @param {import('../field/kinds.js').Check} check
 * @param {'number' | 'firing'} order
 * @param {string} [only]  numbers of those it goes over, where not all: "1-3"
 * @returns {{cylinder?: number, place?: string, words: string, number: number}[]}
 */
export function stations(engine, check, order, only) {
  const all = allStations(engine, check, order);
  const wanted = only?.split('-').map(Number);
  return wanted ? all.filter(({ number }) => wanted.includes(number)) : all;
}

/**
 * @param {import('./open-case.js').Told} engine
 * @param {import('../field/kinds.js').Check} check
 * @param {'number' | 'firing'} order
 */
function allStations(engine, check, order) {
  if (check.about === 'cylinder')
    return ordered(engine, order).map((cylinder) => ({ cylinder, number: cylinder, words: phrase('Cylinder {cylinder}', { cylinder }) }));
  const places = placesOf(engine, check.about);
  const byNumber = places.map((place, index) => {
    const fired = check.about === 'coil' ? engine.coils[index] : [index + 1];
    const own = fired.length === 1 && fired[0] === index + 1;
    return {
      place,
      number: index + 1,
      first: fired[0],
      words: own
        ? phrase('Cylinder {n}', { n: index + 1 })
        : phrase('{place} {n} (cylinders {fired})', {
            place: check.about === 'coil' ? phrase('Coil') : phrase('Place'),
            n: index + 1,
            fired: fired.join(', '),
          }),
    };
  });
  if (order === 'number') return byNumber;
  const firing = engine.firing_order;
  return [...byNumber].sort((a, b) => firing.indexOf(a.first) - firing.indexOf(b.first));
}

/** @param {import('./open-case.js').Told} engine @param {'number' | 'firing'} order @returns {number[]} */
function ordered(engine, order) {
  return order === 'firing' ? engine.firing_order : Array.from({ length: engine.cylinders }, (_, index) => index + 1);
}

/** Whether a finding is not the one of a sound part; without a finding nothing is judged. @param {string} [check] @param {string} [finding] */
export function standsOut(check, finding) {
  return Boolean(check && finding) && !checkOf(check ?? '')?.well.includes(finding ?? '');
}

/** What photos in a round of this check show. @param {import('../field/kinds.js').Check} check */
export function showsFor(check) {
  return (
    /** @type {Record<string, string>} */ ({ connector_look: 'connector', coil_look: 'coil', plug_look: 'plug' })[
      check.key
    ] ?? 'other'
  );
}

/**
 * The entries of a round by station, the latest each.
 * @param {import('../field/log.js').Entry[]} entries
 * @param {string} round
 * @param {{cylinder?: number, place?: string}} station
 */
export function entryAt(entries, round, station) {
  return entries.findLast(
    (entry) =>
      entry.kind === 'check' &&
      entry.body.round === round &&
      (station.place ? entry.body.place === station.place : entry.body.cylinder === station.cylinder),
  );
}

/**
 * What stands for a station in a round: its entry there, else a check made by itself outside any round, as long as nothing
 * was moved or mended there since.
 * @param {import('../field/log.js').Entry[]} entries
 * @param {import('./open-case.js').Told | null | undefined} view
 * @param {import('../field/kinds.js').Check} check
 * @param {string} round
 * @param {{number: number, cylinder?: number, place?: string}} station
 */
export function foundAt(entries, view, check, round, station) {
  const standing = (view?.cylinders ?? []).flatMap((/** @type {any} */ one) => one.findings).filter((/** @type {any} */ one) => one.now);
  const alone = new Set(standing.map((/** @type {any} */ one) => one.entry));
  return (
    entryAt(entries, round, station) ??
    entries.findLast(
      ({ id, kind, body }) =>
        kind === 'check' &&
        body.check === check.key &&
        !body.round &&
        alone.has(id) &&
        (station.place ? body.place === station.place : body.cylinder === station.cylinder),
    )
  );
}

/**
 * The finding of a check, given or as the core has graded its reading; undefined until that is known.
 * @param {import('../field/log.js').Entry | undefined} entry
 * @param {import('./open-case.js').Told | null | undefined} view
 * @returns {string | undefined}
 */
export function findingOf(entry, view) {
  if (!entry || entry.body.finding) return entry?.body.finding;
  const told = (view?.cylinders ?? []).flatMap((/** @type {any} */ one) => one.findings);
  return told.find((/** @type {any} */ one) => one.entry === entry.id)?.finding ?? undefined;
}

/**
 * The photos of a check at a station: those of its finding, and those that show the same there, latest first.
 * @param {import('./open-case.js').Told} view
 * @param {import('../field/kinds.js').Check} check
 * @param {{cylinder?: number, place?: string}} station
 * @param {string} [entry]  of the finding
 */
export function photosAt(view, check, station, entry) {
  const shows = showsFor(check);
  const there = (/** @type {any} */ photo) =>
    shows !== 'other' &&
    photo.shows === shows &&
    (station.place ? photo.place === station.place : photo.cylinder === station.cylinder);
  return view.photos.filter((/** @type {any} */ photo) => (entry && photo.of === entry) || there(photo)).reverse();
}

/**
 * The photos that stand side by side: of each station the latest of a detail, by detail and then by number.
 * @param {import('./open-case.js').Told} view
 * @param {import('../field/kinds.js').Check} check
 * @returns {any[]}
 */
export function comparedPhotos(view, check) {
  const all = stations(view.engine, check, 'number').map((station) => photosAt(view, check, station));
  return detailsOf(all.flat()).flatMap((detail) =>
    all.map((photos) => photos.find((/** @type {any} */ photo) => (photo.detail ?? '') === detail)).filter(Boolean),
  );
}

/** The details that photos were aimed at, in the order of their declaration; '' for those aimed at none. @param {any[]} photos */
export function detailsOf(photos) {
  const declared = ['', ...(field('photo', 'detail').choices ?? []).map(({ value }) => value)];
  return declared.filter((detail) => photos.some((photo) => (photo.detail ?? '') === detail));
}

/** The engine speed before of the last drop test of a case that told one. @param {import('../field/log.js').Entry[]} entries @returns {any} */
export function speedBefore(entries) {
  return entries.findLast(({ kind, body }) => kind === 'check' && body.check === 'drop' && body.rpm_before !== undefined)?.body.rpm_before;
}

/**
 * Whether what to beware of in a check was read in this case today: something was recorded in it since, in the same way.
 * @param {import('../field/log.js').Entry[]} entries
 * @param {import('./declared.js').Check} check
 * @param {string} way  how the cylinder is disabled; empty where nobody asks
 */
export function readTodayIn(entries, check, way) {
  const today = new Date().toDateString();
  return entries.some(
    ({ kind, at, body }) =>
      kind === 'check' && body.check === check.key && (body.disabled ?? '') === way && new Date(at[0]).toDateString() === today,
  );
}
