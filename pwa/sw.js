/**
 * Keeps one release of the application on the phone, whole and checked, and serves it without a connection.
 * It is registered as /sw.js?release=<id> (field/release.js); a newer release waits until the page says "take over".
 */
import { sha256Of } from './field/hash.js';
import { syncNow } from './field/sync.js';

const worker = /** @type {import('./types/worker').WorkerScope} */ (/** @type {unknown} */ (self));
const RELEASE = new URL(location.href).searchParams.get('release');
const CACHE = `coiltrail-${RELEASE}`;
const TAG_WAIT_MS = 4_000; // then a tag's address opens from the phone

worker.addEventListener('install', (event) => event.waitUntil(install()));
worker.addEventListener('activate', (event) => event.waitUntil(activate()));
worker.addEventListener('message', (event) => {
  if (event.data === 'take over') void worker.skipWaiting();
});
worker.addEventListener('sync', (event) => event.waitUntil(syncOrRepeat()));
worker.addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== 'GET' || origin !== location.origin || pathname.startsWith('/api/')) return;
  if (request.cache === 'no-store') return; // the page looks for a newer release
  if (request.mode === 'navigate') event.respondWith(isTag(pathname) ? tagPage(request) : kept('/', request));
  else event.respondWith(kept(pathname, request));
});

/** All of the release or none of it: one file that cannot be had, or is not its hash, fails the installation. */
async function install() {
  const list = await bring('/release.json');
  const { release, files } = await list.clone().json();
  if (release !== RELEASE) throw new Error('Another release has come out meanwhile; it is installed next time.');
  const cache = await caches.open(CACHE);
  await Promise.all(files.map((/** @type {{path: string, sha256: string}} */ file) => keep(cache, file)));
  await cache.put('/release.json', list);
  // A release that was activated meanwhile has swept this one's files away with the old ones.
  if (!(await caches.match('/release.json', { cacheName: CACHE }))) throw new Error('Interrupted by another release.');
}

/**
 * What an earlier attempt or release left is used again when it is the same, so that a bad link gets there bit by bit.
 * @param {Cache} cache
 * @param {{path: string, sha256: string}} file
 */
async function keep(cache, { path, sha256 }) {
  for (const name of [CACHE, ...(await ourCaches())]) {
    const held = await caches.match(path, { cacheName: name });
    if (held && (await hashOf(held)) === sha256) return cache.put(path, held);
  }
  const response = await bring(path);
  if ((await hashOf(response)) !== sha256) throw new Error(`${path} is not the file that the release list promises.`);
  return cache.put(path, response);
}

/** From the server itself: no redirect (a sign-in page of the network), no opaque answer. @param {string} path */
async function bring(path) {
  const response = await fetch(path, { cache: 'no-store', redirect: 'error', credentials: 'omit' });
  if (!response.ok || response.type !== 'basic' || response.redirected) throw new Error(`${path} could not be fetched.`);
  return response;
}

/** @param {Response} response */
async function hashOf(response) {
  return sha256Of(await response.clone().arrayBuffer());
}

async function activate() {
  for (const name of await ourCaches()) if (name !== CACHE) await caches.delete(name);
  await worker.clients.claim();
}

async function ourCaches() {
  return (await caches.keys()).filter((name) => name.startsWith('coiltrail-'));
}

/** The file of this release; what is not part of it comes from the network. @param {string} path @param {Request} request */
async function kept(path, request) {
  return (await caches.match(path, { cacheName: CACHE })) ?? fetch(request);
}

/** @param {string} path */
function isTag(path) {
  return /^\/t\//i.test(path);
}

/**
 * The page for strangers, which is never stored, comes from the shop; the application itself from this release, not from
 * a newer one whose other files are not here.
 * @param {Request} request
 */
async function tagPage(request) {
  const answer = await fetch(request, { signal: AbortSignal.timeout(TAG_WAIT_MS) }).catch(() => null);
  const forStrangers = answer?.ok && answer.headers.get('Cache-Control')?.includes('no-store');
  return forStrangers ? answer : kept('/', request);
}

/** The browser repeats it later when it fails. */
async function syncOrRepeat() {
  if (!(await syncNow())) throw new Error('Not everything is in the shop yet.');
}
