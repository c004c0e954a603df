/** The entry for a picture or a recording that is on this phone. */
import { save } from './saving.js';
import { phrase } from './tongue.js';

/**
 * @typedef {import('../field/photos.js').TakenIn} TakenIn
 *
 * @typedef {Pick<TakenIn, 'sha256' | 'bytes'> & Partial<TakenIn> & {detail?: string}} Taken
 *
 * @param {Taken} taken
 * @param {Record<string, any>} about  shows, detail, cylinder, place, part, of, caption
 */
export function photoBody({ sha256, bytes, width, height, detail }, about) {
  return { sha256, bytes, width, height, ...(detail ? { detail } : {}), ...about };
}

/** Record a picture at once. @param {string} caseId @param {Taken} taken @param {Record<string, any>} about */
export async function savePhoto(caseId, taken, about) {
  await save({ case: caseId, kind: 'photo', body: photoBody(taken, about) }, phrase('Photo saved on this phone'));
}

/** Record a voice note that no entry names yet. @param {string} caseId @param {{sha256: string, bytes: number}} kept */
export async function saveVoice(caseId, { sha256, bytes }) {
  await save({ case: caseId, kind: 'recording', body: { sha256, bytes, form: 'voice' } }, phrase('Voice note saved on this phone'));
}
