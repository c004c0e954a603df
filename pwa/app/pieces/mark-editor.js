/**
 * Drawing on a photo: choose what, then drag a finger over the picture. Without a finger, the key of a sort puts one into the
 * middle, the arrow keys move it (with Shift its end) and Enter keeps it.
 */
import { useRef, useState } from 'preact/hooks';
import { field } from '../declared.js';
import { html } from '../html.js';
import { MarkDrawing, markWords, placeOn, share } from '../marks.js';
import { save } from '../saving.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';
import { PlainField } from './plain-field.js';

/** @typedef {import('../marks.js').Mark} Mark */

const TAP = 0.03; // of the picture: a drag shorter than this was a tap
const MIDDLE = { arrow: { x: 0.35, y: 0.65, to_x: 0.5, to_y: 0.5 }, circle: { x: 0.4, y: 0.4, to_x: 0.6, to_y: 0.6 }, words: { x: 0.3, y: 0.5 } };
const NUDGE = 0.02;
/** @type {Record<string, [number, number]>} */
const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
/** Kept in the log, so in no language of its own: `casefile` puts it in words. */
const RUBBED_OUT = 'Rubbed out';

/** @param {{caseId: string, photo: any, onDone: () => void}} props  `photo`: as the core tells it */
export function MarkEditor({ caseId, photo, onDone }) {
  const [sort, setSort] = useState(/** @type {Mark['sort']} */ ('arrow'));
  const [draft, setDraft] = useState(/** @type {Mark | null} */ (null));
  const [saved, setSaved] = useState(/** @type {Mark[]} */ ([])); // until the core tells of them
  const surface = useRef(/** @type {HTMLElement | null} */ (null));
  /** @param {Mark} mark */
  const keep = async (mark) => {
    setDraft(null);
    const body = { of: photo.entry, ...mark };
    const { entries } = await save({ case: caseId, kind: 'marked', body }, phrase('Mark saved on this phone'));
    setSaved([...saved, ...entries.map(({ id }) => ({ ...mark, entry: id }))]);
  };
  /** @param {Mark} mark */
  const rubOut = (mark) =>
    save({ case: caseId, kind: 'struck', body: { entry: mark.entry, why: RUBBED_OUT } }, phrase('Rubbed out'));

  /** @param {PointerEvent} event */
  const at = (event) => placeOn(event, /** @type {HTMLElement} */ (surface.current).getBoundingClientRect(), photo);
  /** @param {PointerEvent} event */
  const begin = (event) => {
    /** @type {HTMLElement} */ (event.currentTarget).setPointerCapture(event.pointerId);
    const { x, y } = at(event);
    setDraft(sort === 'words' ? { sort, x, y, text: '' } : { sort, x, y, to_x: x, to_y: y });
  };
  /** @param {PointerEvent} event */
  const draw = (event) => {
    if (!draft || draft.sort === 'words' || !event.buttons) return;
    const { x, y } = at(event);
    setDraft({ ...draft, to_x: x, to_y: y });
  };
  const end = () => {
    if (!draft || draft.sort === 'words') return;
    const long = Math.max(Math.abs((draft.to_x ?? 0) - draft.x), Math.abs((draft.to_y ?? 0) - draft.y));
    if (long >= TAP) void keep(draft);
    else setDraft(null);
  };
  /** @param {KeyboardEvent} event */
  const byKey = (event) => {
    if (!draft) return;
    if (event.key === 'Escape') setDraft(null);
    else if (event.key === 'Enter' && draft.sort !== 'words') void keep(draft);
    else if (event.key in STEPS) setDraft(moved(draft, STEPS[event.key], event.shiftKey));
    else return;
    event.preventDefault();
  };
  /** @param {Mark['sort']} chosen */
  const choose = (chosen) => {
    setSort(chosen);
    setDraft(null);
  };
  const middle = () => {
    setDraft({ sort, ...MIDDLE[sort], ...(sort === 'words' ? { text: '' } : {}) });
    surface.current?.focus();
  };

  const marks = photo.marks ?? [];
  const told = new Set(marks.map((/** @type {Mark} */ mark) => mark.entry));
  const drawn = [...saved.filter((mark) => !told.has(mark.entry)), ...(draft ? [draft] : [])];
  return html`<div
      class="mark-surface"
      ref=${surface}
      tabindex="0"
      role="group"
      aria-label=${draft ? phrase('{mark}: arrow keys move it, Enter keeps it', { mark: markWords(draft) }) : phrase('Draw on the photo')}
      onPointerDown=${begin}
      onPointerMove=${draw}
      onPointerUp=${end}
      onPointerCancel=${() => setDraft(null)}
      onKeyDown=${byKey}
    >
      <${MarkDrawing} ...${photo} marks=${drawn} name="draft" fit="contain" />
    </div>
    <div class="mark-keys">
      ${
        draft?.sort === 'words' &&
        html`<div class="mark-text">
          <${PlainField} label="Words" value=${draft.text ?? ''} maxlength=${60} onInput=${(/** @type {string} */ text) => setDraft({ ...draft, text })} />
          <button type="button" class="key main" disabled=${!draft.text?.trim()} onClick=${() => void keep({ ...draft, text: draft.text?.trim() })}>Keep</button>
        </div>`
      }
      <div class="mark-sorts" role="group" aria-label="What to draw">
        ${(field('marked', 'sort').choices ?? []).map(
          (one) => html`<button
            type="button"
            class="key"
            key=${one.value}
            aria-pressed=${one.value === sort}
            onClick=${() => choose(/** @type {Mark['sort']} */ (one.value))}
          >${one.label}</button>`,
        )}
        <button type="button" class="key" onClick=${middle}>In the middle</button>
      </div>
      ${
        marks.length > 0 &&
        html`<ul class="mark-list" aria-label="Drawn on it">
          ${marks.map(
            (/** @type {Mark} */ mark) => html`<li key=${mark.entry}>
              <button type="button" class="key" onClick=${() => void rubOut(mark)}>
                <${Icon} name="cross" /><span class="unseen">Rub out: </span>${markWords(mark)}
              </button>
            </li>`,
          )}
        </ul>`
      }
      <button type="button" class="key main" onClick=${onDone}><${Icon} name="tick" />Done</button>
    </div>`;
}

/**
 * The mark a step further, whole or at its end, and never beyond the picture.
 * @param {Mark} mark
 * @param {[number, number]} step
 * @param {boolean} endOnly
 * @returns {Mark}
 */
function moved(mark, [right, down], endOnly) {
  const there = { ...mark };
  if (!endOnly || mark.sort === 'words') {
    there.x = share(mark.x + right * NUDGE);
    there.y = share(mark.y + down * NUDGE);
  }
  if (mark.sort !== 'words') {
    there.to_x = share((mark.to_x ?? mark.x) + right * NUDGE);
    there.to_y = share((mark.to_y ?? mark.y) + down * NUDGE);
  }
  return there;
}
