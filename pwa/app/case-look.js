/**
 * What the core told of a case, put as the drawing and the screens need it.
 *
 * @typedef {import('./open-case.js').Told} Told
 * @typedef {import('./engine-drawing.js').BoreLook} BoreLook
 * @typedef {import('./engine-drawing.js').PlaceLook} PlaceLook
 */
import { labelOf } from './declared.js';
import { to } from './route.js';
import { phrase } from './tongue.js';
import { partKind, percent, placeParts, sentence, thePart } from './words.js';

const DROPS = /** @type {const} */ ({
  none: ['dead', phrase('dead ((cylinder))')],
  small: ['weak', phrase('weak ((cylinder))')],
  full: ['runs', phrase('runs ((cylinder))')],
});
/** @type {Record<string, (mark: string) => string>} */
const FROM = {
  plug: (mark) => phrase('plug from {mark}', { mark }),
  injector: (mark) => phrase('inj. from {mark}', { mark }),
};
const LIKELY = 0.5; // from here on a cylinder is said to miss without a drop test

/**
 * How a cylinder looks: running as the last drop test that still holds found it, else as the diagnosis expects. No figure
 * stands beside it: those of the list, one for each cause, are the only ones, and a second measure would have to be reconciled.
 * @param {Told} view
 * @param {Told | null} diagnosis
 * @param {number} cylinder
 * @returns {BoreLook}
 */
export function boreLook(view, diagnosis, cylinder) {
  const told = view.cylinders.find((/** @type {any} */ one) => one.cylinder === cylinder);
  const guess = diagnosis?.cylinders?.find((/** @type {any} */ one) => one.cylinder === cylinder);
  const drop = told?.findings.find((/** @type {any} */ one) => one.check === 'drop' && one.now);
  const [running, word] =
    DROPS[/** @type {keyof typeof DROPS} */ (drop?.finding)] ?? withoutDrop(diagnosis, guess?.misses);
  const coil = coilAt(view, told?.coil_position);
  const others = ['plug', 'injector']
    .map((kind) => ({ kind, ...partAt(view, `${kind}.${cylinder}`) }))
    .filter(({ id, moved, mark }) => id && moved && mark !== 'new');
  const said = [
    phrase('Cylinder {cylinder}', { cylinder }),
    guess && !drop && phrase('{percent} likely to miss', { percent: percent(guess.misses) }),
    word,
    drop && phrase('drop test: {text}', { text: drop.text }),
    coil.moved && phrase('its coil: {words}', { words: coil.words }),
    ...others.map(({ words }) => words),
  ];
  return {
    label: said.filter(Boolean).join(', '),
    misses: running === 'runs' ? 0 : (guess?.misses ?? 0), // what was seen to run is not drawn as suspect
    running: /** @type {BoreLook['running']} */ (running),
    word,
    others: others.flatMap(({ kind, mark }) => FROM[kind](mark).split(/ (.*)/, 2)), // "plug", and below it "from 3"
    href: to('case', view.case, 'cylinder', cylinder),
  };
}

/**
 * How a cylinder is said to run where no drop test holds: once something was repaired, by the drives since.
 * @param {Told | null} diagnosis
 * @param {number} misses  probability
 */
function withoutDrop(diagnosis, misses) {
  if (misses > LIKELY) return ['weak', phrase('may miss ((cylinder))')];
  if (!diagnosis?.fixed) return ['', ''];
  return diagnosis.fixed.driven > 0 ? DROPS.full : ['', phrase('not tried ((cylinder))')];
}

/** The coil on a position as the drawing shows it. @param {Told} view @param {number} position @returns {PlaceLook} */
export function coilLook(view, position) {
  const { mark, moved, words, empty } = coilAt(view, position);
  return {
    label: phrase('Coil place {position}: {words}', { position, words }),
    mark,
    moved,
    empty,
    from: moved && mark !== 'new' ? phrase('from {mark}', { mark }) : '',
  };
}

/** @param {Told} view @param {number} position */
function coilAt(view, position) {
  return partAt(view, `coil.${position}`);
}

/**
 * The part that sits at a place: its id, whether it came from elsewhere, and words for it.
 * @param {Told} view
 * @param {string} place
 */
export function partAt(view, place) {
  const at = placeParts(place);
  const kind = at?.kind ?? 'coil';
  const position = at?.position ?? 0;
  const id = occupantOf(view, kind, position);
  if (!id) return { id: null, mark: '–', moved: false, empty: true, words: phrase('empty ((place))'), part: null };
  const part = view.parts.find((/** @type {any} */ one) => one.part === id) ?? null;
  const fitted = Boolean(part?.fitted_by);
  const first = placeParts(part?.trail?.[0]?.place ?? placeOfUnnoted(id))?.position;
  const moved = fitted || (first !== undefined && first !== position);
  const label = part?.label ?? phrase('{part} that came in at {position}', { part: thePart(kind), position });
  return { id, mark: fitted ? 'new' : String(first ?? position), moved, empty: false, words: label, part };
}

/** @param {Told} view @param {string} kind @param {number} position */
function occupantOf(view, kind, position) {
  if (kind !== 'coil')
    return view.cylinders.find((/** @type {any} */ one) => one.cylinder === position)?.parts[kind] ?? null;
  return view.cylinders.find((/** @type {any} */ one) => one.coil_position === position)?.parts.coil ?? null;
}

/** A part nobody noted is called `<case>.<kind>.<position>`. @param {string} id */
function placeOfUnnoted(id) {
  const [, kind, position] = id.split('.');
  return position ? `${kind}.${position}` : '';
}

/** The part that a repair took off; of a coil and its boot the coil, which is listed first. @param {Told} view @param {string} entry */
export function partOffBy(view, entry) {
  return view.parts.find((/** @type {any} */ { place, trail }) => !place.includes('.') && trail.at(-1).entry === entry);
}

/** A part by its id, also one that the view does not list. @param {Told} view @param {string} id */
export function partById(view, id) {
  const listed = view.parts.find((/** @type {any} */ one) => one.part === id);
  if (listed) return listed;
  const at = placeParts(placeOfUnnoted(id));
  if (!at) return null;
  const place = `${at.kind}.${at.position}`;
  return {
    part: id,
    kind: at.kind,
    label: phrase('{part} that came in at {position}', { part: thePart(at.kind), position: at.position }),
    place,
    place_label: `${partKind(at.kind).toLowerCase()} ${at.position}`,
    noted: {},
    tag: null,
    fate: null,
    fitted_by: null,
    trail: [{ place, label: `${partKind(at.kind).toLowerCase()} ${at.position}`, entry: null }],
    findings: [],
  };
}

/** All places of a kind on this engine. @param {Told} engine @param {string} kind @returns {string[]} */
export function placesOf(engine, kind) {
  const howMany = kind === 'coil' ? engine.coils.length : engine.cylinders;
  return Array.from({ length: howMany }, (_, index) => `${kind}.${index + 1}`);
}

/**
 * The cylinders that a place serves.
 * @param {Told} engine
 * @param {string | null | undefined} place
 * @returns {number[]}
 */
export function servedBy(engine, place) {
  const at = placeParts(place);
  if (!at) return [];
  return at.kind === 'coil' ? (engine.coils[at.position - 1] ?? []) : [at.position];
}

/** The photos of an entry, with words for each. @param {Told} view @param {string} entry */
export function photosOf(view, entry) {
  return view.photos
    .filter((/** @type {any} */ photo) => photo.of === entry || photo.entry === entry)
    .map((/** @type {any} */ photo) => ({ sha256: photo.sha256, alt: photoWords(photo) }));
}

/**
 * Voice notes that were spoken for an entry, but for those struck out.
 * @param {import('./open-case.js').OpenCase | null} open
 * @param {string} entry
 * @returns {Record<string, any>[]} their bodies
 */
export function voicesOf(open, entry) {
  const spoken = (open?.entries ?? []).filter(({ kind, body }) => kind === 'recording' && body.of === entry);
  return spoken.filter(({ id }) => !(open?.view && rowOf(open.view, id)?.struck)).map(({ body }) => body);
}

/** @param {any} photo */
export function photoWords(photo) {
  const at = placeParts(photo.place);
  const where = photo.cylinder
    ? phrase('cylinder {n}', { n: photo.cylinder })
    : at
      ? `${partKind(at.kind).toLowerCase()} ${at.position}`
      : '';
  const shows = photo.caption || labelOf('photo', 'shows', photo.shows) || phrase('Photo');
  // A place that says what it shows stands alone: "Spark plug 3".
  if (where.startsWith(`${shows.toLowerCase()} `)) return sentence(where);
  return sentence([shows, where].filter(Boolean).join(', '));
}

/** The row of the story for an entry. @param {Told} view @param {string} entry */
export function rowOf(view, entry) {
  return view.timeline.find((/** @type {any} */ row) => row.id === entry) ?? null;
}
