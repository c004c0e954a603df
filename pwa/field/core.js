/**
 * The core, asked from the page. It runs in a worker; recording never waits for it.
 *
 * @typedef {{error?: {message: string, field?: string, code?: 'superseded' | 'timeout' | 'crashed'}} & Record<string, any>} Answer
 *
 * @typedef {object} AskOptions
 * @property {string} [language]  that the answer speaks, if not the page's
 * @property {number} [priority]  higher is asked first; 0 unless told. Below 0 it is a long thought that gives way: it is
 *   put back when something more urgent is asked, and begun anew afterwards
 * @property {string} [topic]  an ask still waiting with the same topic is superseded by this one
 *
 * @typedef {object} Ask
 * @property {number} id
 * @property {string} name
 * @property {string} args  JSON
 * @property {string} language
 * @property {number} priority
 * @property {string | undefined} topic
 * @property {boolean} [givenUp]  the worker was told to stop it
 * @property {(answer: Answer) => void} resolve
 */

import { language as pageLanguage, phrase } from './tongue.js';

const HANG_MS = 60_000; // without a sign of life from the core; a long answer gives one every second
const START_MS = 60_000; // for the runtime to be loaded and started, on a slow phone

/** @type {Answer} */
const SUPERSEDED = { error: { code: 'superseded', message: 'A newer question took its place.' } };

/** @type {Ask[]} */
let waiting = [];

/** What the worker works at. @type {Ask | null} */
let current = null;

/** A long thought that the worker has been given already, so that it goes on with it while this page draws. @type {Ask | null} */
let following = null;

/** @type {Worker | null} */
let worker = null;

/** Units that quantities are shown in: dimension -> unit. @type {Record<string, string>} */
let units = {};

/** @param {Record<string, string>} chosen */
export function showIn(chosen) {
  units = chosen;
}

let running = Promise.resolve(); // until the worker has started

let lastId = 0;
let watch = 0;

/** Who waits until nothing is asked any more. @type {(() => void)[]} */
const atRest = [];

/**
 * Ask the core (names and shapes: DEVELOPERS.md). Never rejects: trouble comes back as `error`; a superseded ask as
 * `error.code === 'superseded'`, which the caller passes over.
 * @param {string} name
 * @param {object} [args]
 * @param {AskOptions} [options]
 * @returns {Promise<Answer>}
 */
export function ask(name, args = {}, { priority = 0, topic, language = pageLanguage() } = {}) {
  return new Promise((resolve) => {
    if (topic) supersede(topic);
    lastId += 1;
    waiting.push({ id: lastId, name, args: JSON.stringify({ ...args, units }), language, priority, topic, resolve });
    for (const given of [current, following]) if (given && given.priority < Math.min(0, priority)) giveUp(given);
    work();
  });
}

/** @returns {Promise<void>} settled as soon as nothing is asked: what has time until then leaves the core the phone's power */
export function coreAtRest() {
  return new Promise((resolve) => {
    atRest.push(resolve);
    work();
  });
}

/** Start the runtime before anything is asked. @returns {Promise<void>} settled once it runs, or is known not to */
export function startCore() {
  worker ??= newWorker();
  return running;
}

/** @param {string} topic */
function supersede(topic) {
  const [passed, stay] = [waiting.filter((ask) => ask.topic === topic), waiting.filter((ask) => ask.topic !== topic)];
  waiting = stay;
  for (const ask of passed) ask.resolve(SUPERSEDED);
  for (const given of [current, following]) if (given?.topic === topic && given.priority < 0) giveUp(given);
}

/** What was given up waits again, unless a newer ask took its place. @param {Ask} ask */
function putBack(ask) {
  goOn();
  ask.givenUp = false;
  if (ask.topic && waiting.some(({ topic }) => topic === ask.topic)) ask.resolve(SUPERSEDED);
  else waiting.push(ask);
  work();
}

/** Stop what the worker was given; it says when it has. @param {Ask} ask */
function giveUp(ask) {
  if (!ask.givenUp) worker?.postMessage({ giveUp: ask.id });
  ask.givenUp = true;
}

/** Give the worker the most urgent ask, the oldest of equals, when it is free; a long thought a step before. */
function work() {
  if (!current && !waiting.length) for (const resolve of atRest.splice(0)) resolve();
  if (following || !waiting.length) return;
  const most = Math.max(...waiting.map((ask) => ask.priority));
  if (current && (most >= 0 || current.priority < 0)) return;
  const [next] = waiting.splice(
    waiting.findIndex((ask) => ask.priority === most),
    1,
  );
  worker ??= newWorker();
  worker.postMessage({ id: next.id, name: next.name, args: next.args, language: next.language });
  if (current) following = next;
  else {
    current = next;
    watchFor(START_MS);
    work();
  }
}

/** The worker is through with what it worked at. */
function goOn() {
  clearTimeout(watch);
  [current, following] = [following, null];
  if (current) watchFor(START_MS);
}

/** @param {number} ms  after which the worker counts as hung */
function watchFor(ms) {
  clearTimeout(watch);
  watch = window.setTimeout(() => fail('timeout', phrase('Working this out took too long. What is recorded is safe.')), ms);
}

function newWorker() {
  const made = new Worker(`/field/core-worker.js?language=${pageLanguage()}`, { type: 'module', name: 'core' });
  running = new Promise((resolve) => {
    for (const sign of ['message', 'error']) made.addEventListener(sign, () => resolve(), { once: true });
  });
  made.addEventListener('message', ({ data }) => {
    if (made !== worker || !current) return;
    if (data.alive === current.id) watchFor(HANG_MS);
    else if (data.givenUp === current.id) putBack(current);
    else if (data.id === current.id) receive(data);
  });
  made.addEventListener('error', (event) => {
    event.preventDefault();
    if (made === worker) fail('crashed', crashed());
  });
  return made;
}

const crashed = () => phrase('The part that works out the diagnosis stopped and starts anew. What is recorded is safe.');

/** @param {{answer?: string, failed?: string}} message */
function receive({ answer, failed }) {
  if (answer === undefined) {
    console.error(failed);
    fail('crashed', crashed());
    return;
  }
  finish(JSON.parse(answer));
}

/**
 * The worker is thrown away with its answer; the next ask starts another.
 * @param {'timeout' | 'crashed'} code
 * @param {string} message
 */
function fail(code, message) {
  worker?.terminate();
  worker = null;
  if (following) waiting.push(following);
  following = null;
  finish({ error: { code, message } });
}

/** @param {Answer} answer */
function finish(answer) {
  const done = current;
  goOn();
  done?.resolve(answer);
  work();
}
