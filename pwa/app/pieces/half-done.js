/** A round that was left in the middle, on all cylinders or on some: how far it is, and the way back to its place. */
import { useEffect, useState } from 'preact/hooks';
import * as drafts from '../../field/drafts.js';
import { check as checkOf } from '../declared.js';
import { html } from '../html.js';
import { foundAt, roundKey, roundsOf, stations } from '../rounds.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';

/**
 * @typedef {object} Left
 * @property {import('../declared.js').Check} check
 * @property {string} [only]  cylinders of a round on some: "1-3"
 * @property {import('../rounds.js').Round} round
 */

/** @param {{open: import('../open-case.js').OpenCase}} props */
export function HalfDone({ open }) {
  const { id, view, entries } = open;
  const [left, setLeft] = useState(/** @type {Left[]} */ ([]));
  useEffect(() => {
    let gone = false;
    void leftIn(id).then((found) => !gone && setLeft(found));
    return () => {
      gone = true;
    };
  }, [id]);
  /** What was recorded stays. @param {Left['check']} check @param {string} [only] */
  const leave = async (check, only) => {
    await drafts.drop(roundKey(id, check.key, only)).catch(() => undefined);
    setLeft(await leftIn(id));
  };
  return html`${left.map(({ check, only, round }, at) => {
    const far = view && howFar(view, entries ?? [], check, round, only);
    const first = at === 0 && (!far || Boolean(far.next));
    return html`<div class=${`half-done ${first ? 'first' : ''}`} key=${`${check.key}/${only ?? ''}`}>
      ${far && html`<p>${far.words}</p>`}
      <a class=${`key wide ${first ? 'main tall' : ''}`} href=${to('case', id, 'round', check.key, ...(only ? [only] : []))}>
        <${Icon} name="onward" />${far?.next ? phrase('Go on with: {check}, {station}', { check: check.label, station: far.next }) : phrase('Go on with: {check}', { check: check.label })}
      </a>
      ${!waiting(round) && html`<button type="button" class="key quiet" onClick=${() => void leave(check, only)}>Leave the round there</button>`}
    </div>`;
  })}`;
}

/** Whether something was taken, written or typed that would be lost with it. @param {import('../rounds.js').Round} round */
function waiting({ note, photos, voices = [], readings = {} }) {
  return Boolean(note.trim() || photos.length || voices.length || Object.values(readings).some(Boolean));
}

/** The rounds of a case in which something was recorded or typed and that were not ended. @param {string} id @returns {Promise<Left[]>} */
async function leftIn(id) {
  const kept = await drafts.keptUnder(roundsOf(id)).catch(() => []);
  return kept.flatMap(({ key, value }) => {
    const [name, only] = key.slice(roundsOf(id).length).split('/');
    const check = checkOf(name);
    return check?.round && (value.begun || Object.values(value.readings ?? {}).some(Boolean)) ? [{ check, only, round: value }] : [];
  });
}

/**
 * What is done of a round and what is missing, and where it goes on.
 * @param {import('../open-case.js').Told} view
 * @param {import('../../field/log.js').Entry[]} entries
 * @param {import('../declared.js').Check} check
 * @param {import('../rounds.js').Round} round
 * @param {string} [only]
 * @returns {{words: string, next: string}}
 */
function howFar(view, entries, check, round, only) {
  const all = stations(view.engine, check, round.order, only);
  const missing = all.filter((station) => !foundAt(entries, view, check, round.id, station));
  if (!missing.length) return { words: phrase('All recorded, not ended yet'), next: '' };
  const next = all.slice(round.at).find((station) => missing.includes(station)) ?? missing[0];
  return {
    words: phrase('{done} of {all} looked at, still missing: {numbers}', {
      done: all.length - missing.length,
      all: all.length,
      numbers: missing.map(({ number }) => number).join(', '),
    }),
    next: next.words.toLowerCase(),
  };
}
