/**
 * Keeps one release of the application on the phone, whole and checked, and serves it without a connection.
 * It is registered as /sw.js?release=<id> (field/release.js); a newer release waits until the page says "take over".
 */
import { dropOtherReleases, fileOf, installRelease } from './field/release-files.js';
import { takeShared } from './field/shared.js';
import { syncNow } from './field/sync.js';

const worker = /** @type {import('./types/worker').WorkerScope} */ (/** @type {unknown} */ (self));
const RELEASE = new URL(location.href).searchParams.get('release');
const TAG_WAIT_MS = 4_000; // then a tag's address opens from the phone

worker.addEventListener('install', (event) => event.waitUntil(installRelease(RELEASE)));

worker.addEventListener('activate', (event) =>
  event.waitUntil(dropOtherReleases(RELEASE).then(() => worker.clients.claim())),
);

worker.addEventListener('message', (event) => {
  if (event.data === 'take over') void worker.skipWaiting();
});

worker.addEventListener('sync', (event) => event.waitUntil(syncOrRepeat()));

worker.addEventListener('fetch', (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method === 'POST' && origin === location.origin && pathname === '/share') return event.respondWith(shared(request));
  if (request.method !== 'GET' || origin !== location.origin || pathname.startsWith('/api/')) return;
  if (pathname.startsWith('/r/')) return; // an owner's report, which is never stored
  if (pathname === '/release.json' && request.cache === 'no-cache') return; // the page looks for a newer release
  if (request.mode !== 'navigate') event.respondWith(kept(pathname, request));
  else if (/^\/t\//i.test(pathname)) event.respondWith(tagPage(request));
  else event.respondWith(kept('/', request));
});

/** The file of this release; what is not part of it comes from the network. @param {string} path @param {Request} request */
async function kept(path, request) {
  return (await fileOf(RELEASE, path)) ?? fetch(request);
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

/** What another application shares is kept here; the screen asks which case it belongs to. @param {Request} request */
async function shared(request) {
  return Response.redirect(`/#/shared/${await takeShared(request)}`, 303);
}

/** The browser repeats it later when it fails. */
async function syncOrRepeat() {
  if (!(await syncNow())) throw new Error('Not everything is in the shop yet.');
}
