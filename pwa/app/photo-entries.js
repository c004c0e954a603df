/** The entry for a picture or a recording that is on this phone. */
import { save, saveAll } from './saving.js';
import { phrase } from './tongue.js';

/**
 * @typedef {import('../field/photos.js').TakenIn} TakenIn
 *
 * @typedef {Pick<TakenIn, 'sha256' | 'bytes'> & Partial<TakenIn> & {detail?: string, marks?: import('./marks.js').Mark[]}} Taken  marks: drawn before there was an entry
 *
 * @param {Taken} taken
 * @param {Record<string, any>} about  shows, detail, cylinder, place, part, of, caption
 */
export function photoBody({ sha256, bytes, width, height, detail }, about) {
  return { sha256, bytes, width, height, ...(detail ? { detail } : {}), ...about };
}

/** A picture as a draft keeps it until there is an entry. @param {Taken} taken @returns {Taken} */
export function held(taken) {
  return photoBody(taken, {});
}

/** Record a picture at once. @param {string} caseId @param {Taken} taken @param {Record<string, any>} about */
export async function savePhoto(caseId, taken, about) {
  await save({ case: caseId, kind: 'photo', body: photoBody(taken, about) }, phrase('Photo saved on this device'));
}

/** Record pictures that waited for their entry, and what was drawn on them. @param {string} caseId @param {Taken[]} photos @param {Record<string, any>} about */
export async function savePhotos(caseId, photos, about) {
  if (!photos.length) return;
  const { entries } = await saveAll(photos.map((photo) => ({ case: caseId, kind: 'photo', body: photoBody(photo, about) })));
  await saveMarks(entries, photos);
}

/** Record what was drawn on pictures. @param {import('../field/log.js').Entry[]} entries  of the pictures @param {Taken[]} photos  the same */
export async function saveMarks(entries, photos) {
  const drafts = entries.flatMap((entry, index) =>
    (photos[index].marks ?? []).map((mark) => ({ case: entry.case, kind: 'marked', body: { of: entry.id, ...mark } })),
  );
  if (drafts.length) await saveAll(drafts);
}

/**
 * Record voice notes.
 * @param {string} caseId
 * @param {{sha256: string, bytes: number, seconds?: number}[]} voices
 * @param {string} [of]  the entry they were spoken for
 * @returns {Promise<boolean>} whether they are recorded
 */
export async function saveVoices(caseId, voices, of) {
  if (!voices.length) return true;
  const about = of ? { of } : {};
  const drafts = voices.map(({ sha256, bytes, seconds }) => ({
    case: caseId,
    kind: 'recording',
    body: { sha256, bytes, ...(seconds === undefined ? {} : { seconds }), form: 'voice', ...about },
  }));
  const { entries } = await saveAll(drafts, phrase('Voice note saved on this device'));
  return entries.length > 0;
}
