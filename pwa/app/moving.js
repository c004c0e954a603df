/**
 * Parts picked up and put down, before it is recorded: what stands where, and which moves it comes to.
 *
 * @typedef {{part?: string, from: string, to: string}} Move
 */
import { partAt, placesOf } from './case-look.js';
import { phrase } from './tongue.js';
import { placeParts, placeWords } from './words.js';

/**
 * What sits at a place once the moves at hand are made.
 * @param {any} view
 * @param {Move[]} moves
 * @param {string} place
 */
export function standing(view, moves, place) {
  const arrived = moves.find((move) => move.to === place);
  if (arrived) {
    const came = partAt(view, arrived.from);
    return { ...came, moved: came.mark !== place.split('.')[1] };
  }
  if (moves.some((move) => move.from === place))
    return { ...partAt(view, place), id: null, mark: '–', moved: false, empty: true, words: 'empty' };
  return partAt(view, place);
}

/**
 * Where the part now standing at a place came from in the log, before the moves at hand.
 * @param {Move[]} moves
 * @param {string} place
 */
function originOf(moves, place) {
  return moves.find((move) => move.to === place)?.from ?? (moves.some((move) => move.from === place) ? null : place);
}

/**
 * The moves after two places changed what they hold.
 * @param {any} view
 * @param {Move[]} moves
 * @param {string} one
 * @param {string} two
 * @returns {Move[]}
 */
export function swapped(view, moves, one, two) {
  const fromOne = originOf(moves, one);
  const fromTwo = originOf(moves, two);
  const others = moves.filter((move) => move.to !== one && move.to !== two);
  return [...others, ...moveOf(view, fromOne, two), ...moveOf(view, fromTwo, one)];
}

/** @param {any} view @param {Move[]} moves @param {string} place @param {string} where @returns {Move[]} */
export function movedAway(view, moves, place, where) {
  const from = originOf(moves, place);
  return [...moves.filter((move) => move.to !== place), ...moveOf(view, from, where)];
}

/** @param {any} view @param {string | null} from @param {string} where @returns {Move[]} */
function moveOf(view, from, where) {
  if (!from || from === where) return [];
  const { id } = partAt(view, from);
  return id ? [{ part: id, from, to: where }] : [];
}

/**
 * What brings the parts that a test has moved to where they came in: those of one kind, since one entry moves one kind.
 * Boots that stayed where they were stay again.
 * @param {any} view
 * @returns {{kind: string, moves: Move[], boot_stays?: boolean}}
 */
export function puttingBack(view) {
  const kinds = ['coil', 'plug', 'injector', ...(view.engine.ignition === 'coil_on_plug' ? [] : ['boot'])];
  for (const kind of kinds) {
    const moves = homewards(view, kind);
    if (!moves.length) continue;
    const rides = kind === 'coil' && view.engine.ignition === 'coil_on_plug';
    const stays = rides && moves.every(({ from }) => !partAt(view, from.replace('coil', 'boot')).moved);
    return { kind, moves, ...(stays ? { boot_stays: true } : {}) };
  }
  return { kind: 'coil', moves: [] };
}

/** @param {any} view @param {string} kind @returns {Move[]} */
function homewards(view, kind) {
  const places = placesOf(view.engine, kind);
  /** @type {Move[]} */
  let moves = [];
  for (const place of places) {
    const now = places.find((one) => standing(view, moves, one).mark === place.split('.')[1]);
    if (now && now !== place) moves = swapped(view, moves, now, place);
  }
  return moves;
}

/** Two parts that change places, as the key says what it records. @type {Record<string, (places: {one: number, other: number}) => string>} */
const SWAP = {
  coil: (places) => phrase('swap the coils of cylinders {one} and {other}', places),
  boot: (places) => phrase('swap the boots or leads of cylinders {one} and {other}', places),
  plug: (places) => phrase('swap the spark plugs of cylinders {one} and {other}', places),
  injector: (places) => phrase('swap the injectors of cylinders {one} and {other}', places),
  shared: (places) => phrase('swap coils {one} and {other}', places),
};

/** A part where it sits, and as it goes on. @type {Record<string, (n: number) => string>} */
const OF_CYLINDER = {
  coil: (n) => phrase('coil of cylinder {n}', { n }),
  boot: (n) => phrase('boot or lead of cylinder {n}', { n }),
  plug: (n) => phrase('spark plug of cylinder {n}', { n }),
  injector: (n) => phrase('injector of cylinder {n}', { n }),
};

/** @param {any} engine @param {Move[]} moves */
export function movesWords(engine, moves) {
  const [one, two] = moves;
  const from = placeParts(one.from);
  if (from && moves.length === 2 && one.from === two.to && one.to === two.from) {
    const sort = sharesCylinders(engine, one.from) ? 'shared' : from.kind;
    return SWAP[sort]({ one: from.position, other: placeParts(one.to)?.position ?? 0 });
  }
  return moves.length === 1 ? moveWords(engine, one) : phrase('{n} move|{n} moves', { n: moves.length });
}

/** One move: which part goes where. @param {any} engine @param {Move} move */
export function moveWords(engine, { from, to }) {
  const [source, goal] = [placeParts(from), placeParts(to)];
  const what = source && !sharesCylinders(engine, from) ? OF_CYLINDER[source.kind](source.position) : placeWords(from);
  if (!goal) return to === 'off' ? phrase('{what} taken off the engine', { what }) : phrase('{what} to a place not known', { what });
  return sharesCylinders(engine, to)
    ? phrase('{what} to the place of coil {n}', { what, n: goal.position })
    : phrase('{what} to cylinder {n}', { what, n: goal.position });
}

/** Whether a place is numbered otherwise than the cylinder that it serves. @param {any} engine @param {string} place */
function sharesCylinders(engine, place) {
  return placeParts(place)?.kind === 'coil' && engine.coils.length < engine.cylinders;
}
