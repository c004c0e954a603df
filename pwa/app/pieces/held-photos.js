/**
 * Photos that wait for the entry they belong to: each opens large, can be drawn upon, and can be taken out again.
 *
 * @typedef {import('../photo-entries.js').Taken} Taken
 */
import { useState } from 'preact/hooks';
import { discard } from '../../field/stray-photos.js';
import { html } from '../html.js';
import { Icon } from './icon.js';
import { MarkEditor } from './mark-editor.js';
import { useDialog } from './sheet.js';
import { Sure } from './sure.js';
import { Picture } from './thumbs.js';

/** @param {{photos: Taken[], words: (n: number) => string, onChange: (photos: Taken[]) => void}} props  `words`: what the nth shows */
export function HeldPhotos({ photos, words, onChange }) {
  const [shown, setShown] = useState('');
  if (!photos.length) return null;
  const at = photos.findIndex((photo) => photo.sha256 === shown);
  const takeOut = () => {
    setShown('');
    onChange(photos.filter((_, index) => index !== at));
    void discard(shown).catch(() => undefined); // then it is offered among those left behind
  };
  return html`<ul class="thumbs">
      ${photos.map(
        (photo, index) => html`<li key=${photo.sha256}>
        <button type="button" class="thumb-key" onClick=${() => setShown(photo.sha256)}>
          <${Picture} sha256=${photo.sha256} alt=${words(index + 1)} marked=${photo} />
        </button>
      </li>`,
      )}
    </ul>
    ${
      at >= 0 &&
      html`<${Large}
      photo=${photos[at]}
      words=${words(at + 1)}
      onMarks=${(/** @type {import('../marks.js').Mark[]} */ marks) => onChange(photos.map((photo, index) => (index === at ? { ...photo, marks } : photo)))}
      onTakeOut=${takeOut}
      onClose=${() => setShown('')}
    />`
    }`;
}

/**
 * @param {object} props
 * @param {Taken} props.photo
 * @param {string} props.words
 * @param {(marks: import('../marks.js').Mark[]) => void} props.onMarks
 * @param {() => void} props.onTakeOut
 * @param {() => void} props.onClose
 */
function Large({ photo, words, onMarks, onTakeOut, onClose }) {
  const dialog = useDialog();
  const [marking, setMarking] = useState(false);
  const marks = photo.marks ?? [];
  return html`<dialog class=${`picture-screen ${marking ? 'marking' : ''}`} aria-label=${words} ref=${dialog} onClose=${onClose}>
    <div class="picture-large"><${Picture} sha256=${photo.sha256} alt=${words} large=${true} fit="contain" marked=${photo} /></div>
    ${
      marking
        ? html`<${MarkEditor}
            photo=${photo}
            marks=${marks}
            onKeep=${(/** @type {import('../marks.js').Mark} */ mark) => onMarks([...marks, mark])}
            onRubOut=${(/** @type {import('../marks.js').Mark} */ mark) => onMarks(marks.filter((one) => one !== mark))}
            onMove=${(/** @type {import('../marks.js').Mark} */ mark, /** @type {import('../marks.js').Mark} */ there) =>
              onMarks(marks.map((one) => (one === mark ? there : one)))}
            onDone=${() => setMarking(false)}
          />`
        : html`<div class="picture-keys">
            <p>${words}</p>
            <button type="button" class="key" onClick=${onClose}><${Icon} name="cross" />Close</button>
            <button type="button" class="key" onClick=${() => setMarking(true)}><${Icon} name="note" />Draw</button>
            <${Sure} words="Take it out" sure="Take it out for good" onSure=${onTakeOut} />
          </div>`
    }
  </dialog>`;
}
