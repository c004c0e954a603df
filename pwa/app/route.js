/**
 * Where the user is: the hash of the address, so that the phone's back gesture works and no server is asked.
 * `/t/<code>`, `/?tag=<code>` and `/#owner=<token>` (`join`, `pair`) come from outside and are turned into routes of ours.
 *
 * @typedef {{name: string, parts: string[], hash: string}} Route  `name` is the first part, `parts` what follows it
 */
import { signal } from '@preact/signals';
import { arrive, backTo, nearestBehind, standIn } from './way-back.js';

/** Screens whose address holds something that is good once: nothing lies behind them. */
const ONCE = ['owner', 'join', 'paired'];

/** @type {import('@preact/signals').Signal<Route>} */
export const route = signal(read());

arrive(parentsOf(route.value));
addEventListener('hashchange', () => {
  route.value = read();
  arrive(parentsOf(route.value));
});

/** What a person who comes in by the address of a screen expects behind it. @param {Route} route @returns {string[]} */
function parentsOf({ name, parts }) {
  if (!name || ONCE.includes(name)) return [];
  return name === 'case' && parts.length > 1 ? [to(), to('case', parts[0])] : [to()];
}

/** @returns {Route} */
function read() {
  fromOutside();
  const hash = location.hash || '#/';
  const [name, ...parts] = hash.replace(/^#\/?/, '').split('/').map(decodeURIComponent);
  return { name, parts, hash };
}

/** Addresses that people are given, on a tag or by the first start, become routes. */
function fromOutside() {
  const tag = /^\/t\/([^/]+)\/?$/i.exec(location.pathname)?.[1] ?? new URLSearchParams(location.search).get('tag');
  const [, what, token] = /^#(owner|join|pair)=(.+)$/.exec(location.hash) ?? [];
  if (tag) history.replaceState(null, '', `/#/tag/${encodeURIComponent(decodeURIComponent(tag))}`);
  else if (token) history.replaceState(null, '', `/#/${what === 'pair' ? 'paired' : what}/${token}`);
}

/** @param {...(string | number)} parts  e.g. `to('case', id, 'codes')` */
export function to(...parts) {
  return `#/${parts.map((part) => encodeURIComponent(part)).join('/')}`;
}

/** Where one is once something of a case is done: at its closing where that led here, else at the case. @param {string} id */
export function home(id) {
  return nearestBehind([to('case', id), to('case', id, 'close')]);
}

/** @param {string} hash */
export function go(hash) {
  if (location.hash === hash) route.value = read();
  else location.hash = hash;
}

/**
 * Leave a screen for good, for one that lies above it: back where that one lies behind, else in its place, so that the
 * back gesture does not lead into what is done.
 * @param {string} hash
 */
export function goInstead(hash) {
  if (backTo(hash)) return;
  standIn(hash);
  route.value = read();
}
