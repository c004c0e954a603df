/**
 * Voice notes: recorded, named by their SHA-256 and kept as bytes beside the photos, with which they go to the shop.
 *
 * What was heard is on the disk every few seconds (`brokenOff`), since phones kill pages.
 *
 * @typedef {object} Voice  a recording that goes on
 * @property {Promise<Spoken>} spoken  what was said, once it is stopped: by `stop`, at the limit or by the phone
 * @property {() => void} stop
 *
 * @typedef {{blob: Blob, seconds: number}} Spoken
 * @typedef {{sha256: string, bytes: number, seconds: number}} KeptVoice  as an entry of kind `recording` names it
 */
import * as drafts from './drafts.js';
import { sha256Of } from './hash.js';
import { haveRoom, keepFile } from './photos.js';
import { phrase } from './tongue.js';

export const LONGEST_S = 180;
// Opus, full-band speech: 28 to 40 kbit/s (RFC 7587, section 3.1.1).
const BITS_PER_SECOND = 32_000;
// Safari records at a rate of its own; four times ours is allowed for.
const ROOM_WANTED = (4 * LONGEST_S * BITS_PER_SECOND) / 8;
const PIECE_MS = 5_000; // what is lost at most when the page is killed
/** What the shop keeps, the most compact first. */
const FORMS = ['audio/webm;codecs=opus', 'audio/ogg;codecs=opus', 'audio/mp4'];

/** No voice note; `message` says why and what to do instead. */
export class VoiceRefused extends Error {
  /** @param {string} message */
  constructor(message) {
    super(message);
    this.name = 'VoiceRefused';
  }
}

/** @param {string} caseId */
const draftOf = (caseId) => `voice/${caseId}`;

/**
 * Begin to record.
 * @param {string} caseId
 * @returns {Promise<Voice>}
 * @throws {VoiceRefused}
 */
export async function listen(caseId) {
  const mimeType = FORMS.find((form) => globalThis.MediaRecorder?.isTypeSupported(form));
  if (!mimeType || !navigator.mediaDevices?.getUserMedia) {
    throw new VoiceRefused(phrase('This browser records no sound. Type the note.'));
  }
  if (!(await haveRoom(ROOM_WANTED))) throw new VoiceRefused(full());
  const stream = await navigator.mediaDevices.getUserMedia({ audio: true }).catch((error) => {
    throw new VoiceRefused(whyNot(error.name));
  });
  const recorder = new MediaRecorder(stream, { mimeType, audioBitsPerSecond: BITS_PER_SECOND });
  const began = performance.now();
  /** @type {Blob[]} */
  const pieces = [];
  const type = mimeType.split(';')[0];
  const soFar = () => ({
    blob: new Blob(pieces, { type }),
    seconds: Math.min(LONGEST_S, Math.round((performance.now() - began) / 100) / 10),
  });
  let writing = Promise.resolve();
  recorder.ondataavailable = ({ data }) => {
    pieces.push(data);
    writing = writing.then(() => keepDraft(caseId, soFar()));
  };
  const spoken = new Promise((resolve, reject) => {
    recorder.onerror = () => reject(new VoiceRefused(phrase('The phone broke the recording off. Record it again, or type the note.')));
    recorder.onstop = () => {
      clearTimeout(limit);
      for (const track of stream.getTracks()) track.stop();
      const spoken = soFar();
      void writing.then(() => resolve(spoken)); // no late draft may outlive the note
    };
  });
  recorder.start(PIECE_MS);
  const stop = () => {
    if (recorder.state !== 'inactive') recorder.stop();
  };
  const limit = setTimeout(stop, LONGEST_S * 1000);
  return { spoken, stop };
}

/** @param {string} caseId @param {Spoken} spoken */
async function keepDraft(caseId, { blob, seconds }) {
  const draft = { bytes: await blob.arrayBuffer(), type: blob.type, seconds };
  await drafts.keep(draftOf(caseId), draft).catch(() => undefined); // a full phone: it is in memory all the same
}

/** What was heard in a case when the page went, if that is so. @param {string} caseId @returns {Promise<Spoken | null>} */
export async function brokenOff(caseId) {
  const draft = await drafts.kept(draftOf(caseId)).catch(() => undefined);
  return draft ? { blob: new Blob([draft.bytes], { type: draft.type }), seconds: draft.seconds } : null;
}

/** It is kept, or nobody wants it. @param {string} caseId */
export function dropBrokenOff(caseId) {
  return drafts.drop(draftOf(caseId));
}

/**
 * Keep what was said. The entry of kind `recording` is the caller's to record.
 * @param {Spoken} spoken
 * @returns {Promise<KeptVoice>} once it is on the disk
 * @throws {VoiceRefused} nothing is lost as long as `spoken` is held
 */
export async function keepVoice({ blob, seconds }) {
  if (!blob.size) throw new VoiceRefused(phrase('Nothing was recorded. Record it again, or type the note.'));
  const bytes = await blob.arrayBuffer();
  const sha256 = await sha256Of(bytes);
  await keepFile(sha256, bytes, blob.type).catch((error) => {
    throw error.name === 'QuotaExceededError' ? new VoiceRefused(full()) : error;
  });
  return { sha256, bytes: bytes.byteLength, seconds };
}

function full() {
  return phrase('The phone is full: free some space, then record again. A typed note needs next to none.');
}

/** By the name of the platform's error (W3C Media Capture and Streams, section 10.2). @param {string} name */
function whyNot(name) {
  if (name === 'NotAllowedError') return phrase('The microphone is not allowed here. Allow it for this page in the settings of the browser, or type the note.');
  if (name === 'NotFoundError') return phrase('This device has no microphone. Type the note.');
  return phrase('The microphone could not be started; perhaps a call or another application has it. Type the note meanwhile.');
}
