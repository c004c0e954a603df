/**
 * What another application shares with this one. The service worker takes it, without a connection too; it is kept among
 * the drafts until a case has it. It imports nothing that needs a page.
 *
 * @typedef {object} Shared
 * @property {number} at  ms
 * @property {string} text
 * @property {boolean} cut  the text was longer than what is kept
 * @property {{name: string, type: string, bytes: ArrayBuffer}[]} pictures
 * @property {{name: string, why: 'kind' | 'large' | 'many'}[]} refused  files that were not taken
 */
import { uuid7 } from './clock.js';
import { read, write } from './database.js';

// Origin of these limits: estimate, from memory; the core reads 20,000 characters.
export const LONGEST_TEXT = 100_000;
export const MOST_PICTURES = 12;
export const LARGEST_BYTES = 50_000_000; // of one file, as from the camera

const KEY = 'shared/';

/**
 * @param {Request} request  the form that the platform posts
 * @returns {Promise<string>} the id of what was kept; empty where it could not be kept
 */
export async function takeShared(request) {
  try {
    const id = uuid7();
    const shared = await sharedIn(await request.formData());
    await write(['drafts'], (tx) => tx.objectStore('drafts').put(shared, KEY + id));
    return id;
  } catch {
    return ''; // the store is full or gone
  }
}

/** @param {FormData} form @returns {Promise<Shared>} */
async function sharedIn(form) {
  const sent = /** @type {File[]} */ (form.getAll('files').filter((one) => one instanceof File));
  const files = sent.filter(({ name, size }) => name || size); // a form sends a nameless, empty one for none
  const said = ['title', 'text', 'url'].map((name) => form.get(name)).filter((one) => typeof one === 'string');
  const written = files.filter(({ type }) => type.startsWith('text/'));
  for (const file of written) said.push(await file.slice(0, 4 * LONGEST_TEXT).text());
  const whole = said.map((one) => one.trim()).filter(Boolean).join('\n');
  /** @type {Shared} */
  const shared = { at: Date.now(), text: whole.slice(0, LONGEST_TEXT), cut: whole.length > LONGEST_TEXT, pictures: [], refused: [] };
  for (const file of files.filter((one) => !written.includes(one))) {
    const { name, type, size } = file;
    const why = !type.startsWith('image/') ? 'kind' : size > LARGEST_BYTES ? 'large' : shared.pictures.length >= MOST_PICTURES ? 'many' : null;
    if (why) shared.refused.push({ name, why });
    else shared.pictures.push({ name, type, bytes: await file.arrayBuffer() });
  }
  return shared;
}

/** @param {string} id @returns {Promise<Shared | undefined>} */
export function sharedOf(id) {
  return read(['drafts'], (tx) => tx.objectStore('drafts').get(KEY + id));
}

/** A case has it, or nobody wants it. @param {string} id */
export function dropShared(id) {
  return write(['drafts'], (tx) => tx.objectStore('drafts').delete(KEY + id));
}

/** @returns {Promise<string[]>} ids of what waits for a case, the oldest first */
export async function sharedWaiting() {
  const keys = await read(['drafts'], (tx) => tx.objectStore('drafts').getAllKeys(IDBKeyRange.bound(KEY, `${KEY}\uffff`)));
  return keys.map((key) => String(key).slice(KEY.length));
}
