/**
 * Drawing on a photo: choose what, then drag a finger over the picture, or drag a mark elsewhere. Without a finger, the key
 * of a sort puts one into the middle, the arrow keys move it (with Shift its end) and Enter keeps it.
 */
import { useRef, useState } from 'preact/hooks';
import { field } from '../declared.js';
import { html } from '../html.js';
import { MarkDrawing, markWords, nearest, placeOn, share, shifted } from '../marks.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';
import { PlainField } from './plain-field.js';

/** @typedef {import('../marks.js').Mark} Mark */

const TAP = 0.03; // of the picture: a drag shorter than this was a tap
const TREMOR = 0.005; // of the picture: a mark that was dragged less has not been moved
const MIDDLE = { arrow: { x: 0.35, y: 0.65, to_x: 0.5, to_y: 0.5 }, circle: { x: 0.4, y: 0.4, to_x: 0.6, to_y: 0.6 }, words: { x: 0.3, y: 0.5 } };
const NUDGE = 0.02;
/** @type {Record<string, [number, number]>} */
const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/**
 * @param {object} props
 * @param {Omit<import('../marks.js').Marked, 'marks'>} props.photo
 * @param {Mark[]} props.marks  those on it, drawn below this
 * @param {Mark[]} [props.drawn]  more of them, to be drawn here
 * @param {(mark: Mark) => void} props.onKeep
 * @param {(mark: Mark) => void} props.onRubOut
 * @param {(mark: Mark, there: Mark) => void} props.onMove
 * @param {() => void} props.onDone
 */
export function MarkEditor({ photo, marks, drawn = [], onKeep, onRubOut, onMove, onDone }) {
  const [sort, setSort] = useState(/** @type {Mark['sort'] | 'move'} */ ('arrow'));
  const [draft, setDraft] = useState(/** @type {Mark | null} */ (null));
  const [put, setPut] = useState(false);
  /** A mark that is being moved, and where the finger took it. */
  const [held, setHeld] = useState(/** @type {{mark: Mark, x: number, y: number} | null} */ (null));
  const surface = useRef(/** @type {HTMLElement | null} */ (null));
  const letGo = () => {
    setPut(false);
    setDraft(null);
    setHeld(null);
  };
  /** @param {Mark} mark */
  const keep = (mark) => {
    letGo();
    if (held) onMove(held.mark, mark);
    else onKeep(mark);
  };

  /** @param {PointerEvent} event */
  const at = (event) => placeOn(event, /** @type {HTMLElement} */ (surface.current).getBoundingClientRect(), photo);
  /** @param {PointerEvent} event */
  const begin = (event) => {
    /** @type {HTMLElement} */ (event.currentTarget).setPointerCapture(event.pointerId);
    const { x, y } = at(event);
    setPut(false);
    if (sort === 'move') take(nearest(marks, x, y), x, y);
    else setDraft(sort === 'words' ? { sort, x, y, text: '' } : { sort, x, y, to_x: x, to_y: y });
  };
  /** @param {Mark | null} mark @param {number} x @param {number} y */
  const take = (mark, x, y) => {
    setHeld(mark && { mark, x, y });
    setDraft(mark);
  };
  /** @param {PointerEvent} event */
  const draw = (event) => {
    if (!draft || !event.buttons || (draft.sort === 'words' && !held)) return;
    const { x, y } = at(event);
    setDraft(held ? shifted(held.mark, x - held.x, y - held.y) : { ...draft, to_x: x, to_y: y });
  };
  const end = () => {
    if (!draft) return;
    if (held) return Math.hypot(draft.x - held.mark.x, draft.y - held.mark.y) < TREMOR ? letGo() : keep(draft);
    if (draft.sort === 'words') return;
    const long = Math.max(Math.abs((draft.to_x ?? 0) - draft.x), Math.abs((draft.to_y ?? 0) - draft.y));
    if (long >= TAP) keep(draft);
    else letGo();
  };
  /** @param {KeyboardEvent} event */
  const byKey = (event) => {
    if (!draft) return;
    if (event.key === 'Escape') letGo();
    else if (event.key === 'Enter' && (held || draft.sort !== 'words')) keep(draft);
    else if (event.key in STEPS) setDraft(moved(draft, STEPS[event.key], event.shiftKey));
    else return;
    event.preventDefault();
  };
  /** @param {Mark['sort'] | 'move'} chosen */
  const choose = (chosen) => {
    setSort(chosen);
    letGo();
  };
  const middle = () => {
    if (sort === 'move') take(nearest(marks, 0.5, 0.5), 0.5, 0.5);
    else {
      setPut(true);
      setDraft({ sort, ...MIDDLE[sort], ...(sort === 'words' ? { text: '' } : {}) });
    }
    surface.current?.focus();
  };
  /** Put into the middle by its key: it goes by a key as well. While a finger draws, no key comes and moves the picture. */
  const provisional = put && draft && draft.sort !== 'words' ? draft : null;
  /** @param {Mark} mark */
  const rubOut = (mark) => {
    letGo(); // else what is held of it would stay on the picture
    onRubOut(mark);
  };
  /** @param {Mark['sort'] | 'move'} value @param {string} label */
  const sortKey = (value, label) => html`<button
    type="button"
    class="key"
    key=${value}
    aria-pressed=${value === sort}
    onClick=${() => choose(value)}
  >${label}</button>`;

  return html`<div
      class="mark-surface"
      ref=${surface}
      tabindex="0"
      role="group"
      aria-label=${draft ? phrase('{mark}: arrow keys move it, Enter keeps it', { mark: markWords(draft) }) : phrase('Draw on the photo')}
      onPointerDown=${begin}
      onPointerMove=${draw}
      onPointerUp=${end}
      onPointerCancel=${letGo}
      onKeyDown=${byKey}
    >
      <${MarkDrawing} ...${photo} marks=${[...drawn, ...(draft ? [draft] : [])]} name="draft" fit="contain" />
    </div>
    <div class="mark-keys">
      ${
        draft?.sort === 'words' &&
        !held &&
        html`<div class="mark-text">
          <${PlainField} label="Words" value=${draft.text ?? ''} maxlength=${60} onInput=${(/** @type {string} */ text) => setDraft({ ...draft, text })} />
          <button type="button" class="key main" disabled=${!draft.text?.trim()} onClick=${() => keep({ ...draft, text: draft.text?.trim() })}>Keep</button>
        </div>`
      }
      <div class="mark-sorts" role="group" aria-label="What to draw">
        ${(field('marked', 'sort').choices ?? []).map((one) => sortKey(/** @type {Mark['sort']} */ (one.value), one.label))}
        ${marks.length > 0 && sortKey('move', phrase('Move one'))}
        <button type="button" class="key" onClick=${middle}>In the middle</button>
      </div>
      ${
        (marks.length > 0 || provisional) &&
        html`<ul class="mark-list" aria-label="Drawn on it">
          ${
            provisional &&
            html`<li key="draft">
              <button type="button" class="key main" onClick=${() => keep(provisional)}><${Icon} name="tick" />${phrase('Keep: {mark}', { mark: markWords(provisional) })}</button>
              <button type="button" class="key" onClick=${letGo}>
                <${Icon} name="cross" />${phrase('{mark}, not kept yet', { mark: markWords(provisional) })}
              </button>
            </li>`
          }
          ${marks.map(
            (mark, index) => html`<li key=${mark.entry ?? index}>
              <button type="button" class="key" onClick=${() => rubOut(mark)}>
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
