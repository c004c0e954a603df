/**
 * The files of one release in a cache of their own: all of them, each checked against its hash, or the installation fails.
 * Those that the list calls `later` do not hold up the first start: `bringLater` gets them when there is time.
 *
 * @typedef {object} Listed  a file of the release list
 * @property {string} path
 * @property {string} sha256
 * @property {number} bytes
 * @property {string} [pack]  address of the pack that it is part of
 * @property {string} [type]  its content type, if it is packed
 * @property {boolean} [later]
 */
import { sha256Of } from './hash.js';
import { phrase } from './tongue.js';

/** @param {string | null} release */
export function cacheOf(release) {
  return `coiltrail-${release}`;
}

/**
 * @param {string | null} release  id
 * @throws when one file cannot be had or is not its hash, or the newest release is another one
 */
export async function installRelease(release) {
  const list = await bring('/release.json', 'no-cache');
  const { release: newest, files } = await list.clone().json();
  if (newest !== release) throw new Error(phrase('Another release has come out meanwhile; it is installed next time.'));
  const cache = await caches.open(cacheOf(release));
  const missing = await notHeld(cache, files);
  await keepPacked(cache, files, missing);
  await Promise.all([...missing.values()].filter((file) => !file.later).map((file) => fetchInto(cache, file)));
  await cache.put('/release.json', list);
  // A release that was activated meanwhile has swept this one's files away with the old ones.
  if (!(await fileOf(release, '/release.json'))) throw new Error(phrase('Interrupted by another release.'));
}

/** @param {string | null} release  the one to stay */
export async function dropOtherReleases(release) {
  for (const name of await cacheNames()) if (name !== cacheOf(release)) await caches.delete(name);
}

/** @param {string | null} release @param {string} path @returns {Promise<Response | undefined>} */
export function fileOf(release, path) {
  return caches.match(path, { cacheName: cacheOf(release) });
}

/**
 * What the first start of a release did not wait for.
 * @param {string | null} release  the one that runs
 * @throws when one file cannot be had now, or a newer release has another one
 */
export async function bringLater(release) {
  const list = await fileOf(release, '/release.json');
  const { files } = (await list?.json()) ?? { files: [] };
  const cache = await caches.open(cacheOf(release));
  for (const file of files.filter((/** @type {Listed} */ file) => file.later)) {
    if (!(await cache.match(file.path))) await fetchInto(cache, file);
  }
}

/**
 * What an earlier attempt or release left is used again when it is the same, so that a bad link gets there bit by bit.
 * @param {Cache} cache
 * @param {Listed[]} files
 * @returns {Promise<Map<string, Listed>>} by path, what is still to be fetched
 */
async function notHeld(cache, files) {
  const missing = new Map(files.map((file) => [file.path, file]));
  for (const name of await cacheNames()) {
    const others = await caches.open(name);
    for (const { path, sha256 } of [...missing.values()]) {
      const held = await others.match(path);
      if (!held || (await hashOf(held)) !== sha256) continue;
      await cache.put(path, held);
      missing.delete(path);
    }
  }
  return missing;
}

/**
 * Fetch together what is missing of a pack, where that is most of it. What is kept goes from `missing`; the rest,
 * whatever the reason, is fetched by itself afterwards.
 * @param {Cache} cache
 * @param {Listed[]} files  all, which is the order within the packs
 * @param {Map<string, Listed>} missing
 */
async function keepPacked(cache, files, missing) {
  for (const pack of new Set(files.map((file) => file.pack))) {
    const packed = files.filter((file) => file.pack === pack);
    const wanted = packed.filter((file) => missing.has(file.path));
    if (!pack || sizeOf(wanted) < sizeOf(packed) / 2) continue;
    const answer = await bring(pack, 'no-store').catch(() => null);
    const bytes = await answer?.arrayBuffer().catch(() => null);
    let at = 0;
    for (const { path, sha256, bytes: size, type = '' } of bytes ? packed : []) {
      const body = /** @type {ArrayBuffer} */ (bytes).slice(at, (at += size));
      if ((await sha256Of(body)) !== sha256) continue;
      await cache.put(path, new Response(body, { headers: { 'Content-Type': type } }));
      missing.delete(path);
    }
  }
}

/** @param {Listed[]} files */
function sizeOf(files) {
  return files.reduce((sum, file) => sum + file.bytes, 0);
}

/**
 * What the page has just loaded need not travel twice; a spoilt copy in the browser's own cache is passed over.
 * @param {Cache} cache
 * @param {Listed} file
 */
async function fetchInto(cache, { path, sha256 }) {
  for (const mode of /** @type {const} */ (['force-cache', 'reload'])) {
    const response = await bring(path, mode);
    if ((await hashOf(response)) === sha256) return cache.put(path, response);
  }
  throw new Error(phrase('{path} is not the file that the release list promises.', { path }));
}

/**
 * From the server itself: no redirect (a sign-in page of the network), no opaque answer.
 * @param {string} path
 * @param {RequestCache} cache
 */
async function bring(path, cache) {
  const response = await fetch(path, { cache, redirect: 'error' });
  if (!response.ok || response.type !== 'basic' || response.redirected) throw new Error(phrase('{path} could not be fetched.', { path }));
  return response;
}

/** @param {Response} response */
async function hashOf(response) {
  return sha256Of(await response.clone().arrayBuffer());
}

async function cacheNames() {
  return (await caches.keys()).filter((name) => name.startsWith(cacheOf('')));
}
