/**
 * Parts picked up and put down, before it is recorded: what stands where, and which moves it comes to.
 *
 * @typedef {{part?: string, from: string, to: string}} Move
 */
import { partAt } from './case-look.js';
import { phrase } from './tongue.js';
import { placeWords } from './words.js';

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

/** @param {Move[]} moves */
export function movesWords(moves) {
  const [one, two] = moves;
  if (moves.length === 2 && one.from === two.to && one.to === two.from)
    return phrase('swap {one} and {other}', { one: placeWords(one.from), other: placeWords(two.from).split(' ').at(-1) });
  if (moves.length === 1) return phrase('{from} to {to}', { from: placeWords(one.from), to: placeWords(one.to) });
  return phrase('{n} move|{n} moves', { n: moves.length });
}
