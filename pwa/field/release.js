/**
 * Which release of the application runs here, and when a newer one takes over: never in the middle of something.
 *
 * @typedef {object} ReleaseState
 * @property {'none' | 'installing' | 'ready'} offline  ready: the page opens without a connection
 * @property {boolean} waiting  a newer release is on the phone, whole and checked, and waits for `takeOver`
 * @property {string} error  why the newest release could not be put on the phone; empty when all is well
 */
import { observable } from './observable.js';
import { phrase } from './tongue.js';

const LOOK_AGAIN_MS = 60 * 60_000;
const LATER_MS = 2_000; // after the first start, for what that did not wait for: whoever opens it begins to work
const KEPT_WITHIN_MS = 30_000; // then the page no longer waits for it
const IN_HAND = 'coiltrail.in-hand'; // shared while something is in hand, exclusive while a release takes over

// What serves this page is known before the first screen is drawn, so that no notice pushes it down later.
const offline = navigator.serviceWorker?.controller ? 'ready' : 'none';
const state = observable(/** @type {ReleaseState} */ ({ offline, waiting: false, error: '' }));

/** @type {import('./observable.js').Observable<ReleaseState>} */
export const releaseState = state;

/** The release that serves this page, by its id; empty while the phone keeps none. */
export function servedRelease() {
  const served = navigator.serviceWorker?.controller;
  return (served && new URL(served.scriptURL).searchParams.get('release')) ?? '';
}

/** Put this release on the phone and look for newer ones from time to time. Once for a page. */
export function watchRelease() {
  const workers = navigator.serviceWorker;
  if (!workers) {
    state.change({ error: phrase('This browser keeps no application on the phone: without a connection the page will not open.') });
    return;
  }
  let controlled = Boolean(workers.controller);
  workers.addEventListener('controllerchange', () => {
    if (controlled) location.reload(); // the first worker of all serves what is on the screen already
    controlled = true;
  });
  void workers.getRegistration().then((registration) => registration && follow(registration));
  const look = () => void lookForRelease(workers);
  look();
  setInterval(look, LOOK_AGAIN_MS);
  window.addEventListener('online', look);
  void workers.ready.then(() => {
    bringLaterSoon(workers);
    window.addEventListener('online', () => bringLaterSoon(workers));
  });
}

/** What cannot be had now is tried again at the next start or connection. @param {ServiceWorkerContainer} workers */
function bringLaterSoon(workers) {
  const bring = async () => {
    const { active } = await workers.ready;
    const release = active && new URL(active.scriptURL).searchParams.get('release');
    const { bringLater } = await import('./release-files.js');
    await bringLater(release);
  };
  setTimeout(() => void bring().catch(() => undefined), LATER_MS);
}

/**
 * The release list names the newest release; a worker registered under its id installs that release and no other.
 * @param {ServiceWorkerContainer} workers
 */
async function lookForRelease(workers) {
  const release = await newestRelease();
  if (!release) return;
  try {
    const address = `/sw.js?release=${encodeURIComponent(release)}`;
    follow(await workers.register(address, { type: 'module', updateViaCache: 'none' }));
  } catch (error) {
    state.change({ error: phrase('The application could not be put on this device: {message}', { message: /** @type {Error} */ (error).message }) });
  }
}

/** @returns {Promise<string | null>} null without a connection */
async function newestRelease() {
  try {
    const answer = await fetch('/release.json', { cache: 'no-cache', redirect: 'error' });
    return answer.ok ? String((await answer.json()).release) : null;
  } catch {
    return null;
  }
}

/** @type {WeakSet<ServiceWorkerRegistration>} */
const followed = new WeakSet();

/** @param {ServiceWorkerRegistration} registration */
function follow(registration) {
  if (!followed.has(registration)) {
    followed.add(registration);
    registration.addEventListener('updatefound', () => followInstalling(registration));
    followInstalling(registration);
  }
  show(registration);
}

/** Resolves when what the page fetches comes from the phone: at once but on a first visit, or where that cannot be. */
export async function onceKept() {
  const workers = navigator.serviceWorker;
  if (!workers || workers.controller) return;
  await Promise.race([
    new Promise((resolve) => workers.addEventListener('controllerchange', resolve, { once: true })),
    new Promise((resolve) => setTimeout(resolve, KEPT_WITHIN_MS)),
  ]);
}

/** @param {ServiceWorkerRegistration} registration */
function followInstalling(registration) {
  const { installing } = registration;
  let installed = false;
  installing?.addEventListener('statechange', () => {
    installed ||= installing.state === 'installed';
    const failed = installing.state === 'redundant' && !installed;
    state.change({
      error: failed ? phrase('The newest release could not be put on this device whole. It is tried again later.') : '',
    });
    show(registration);
  });
  show(registration);
}

/** @param {ServiceWorkerRegistration} registration */
function show({ installing, waiting, active }) {
  const offline = active ? 'ready' : installing || waiting ? 'installing' : 'none';
  state.change({ offline, waiting: Boolean(waiting && active) });
}

/**
 * Say that something is in hand (a round, a half-filled form): no release takes over in any tab until it is put down.
 * @returns {() => void} puts it down
 */
export function inHand() {
  /** @type {() => void} */
  let putDown = () => {};
  const held = new Promise((resolve) => {
    putDown = () => resolve(undefined);
  });
  void navigator.locks?.request(IN_HAND, { mode: 'shared' }, () => held);
  return putDown;
}

/**
 * Let the waiting release take over; every tab then loads anew.
 * @returns {Promise<boolean>} false: something is in hand in this or another tab
 */
export async function takeOver() {
  const registration = await navigator.serviceWorker?.getRegistration();
  const waiting = registration?.waiting;
  if (!waiting) return false;
  return navigator.locks.request(IN_HAND, { ifAvailable: true }, async (free) => {
    if (!free) return false;
    const outcome = new Promise((resolve) => {
      waiting.addEventListener('statechange', () => {
        if (waiting.state === 'activated' || waiting.state === 'redundant') resolve(waiting.state === 'activated');
      });
    });
    waiting.postMessage('take over');
    return outcome;
  });
}
