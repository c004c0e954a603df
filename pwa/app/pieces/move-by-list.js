/** A move without the drawing: two lists and a key. */
import { useState } from 'preact/hooks';
import { placesOf } from '../case-look.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { placeWords, sentence } from '../words.js';

/**
 * @param {{view: any, kind: string, onMove: (from: string, where: string) => void}} props
 */
export function MoveByList({ view, kind, onMove }) {
  const places = placesOf(view.engine, kind);
  const [from, setFrom] = useState(places[0]);
  const [where, setWhere] = useState(places[1] ?? 'off');
  const options = [...places, 'off', 'unknown'];
  return html`<details class="more">
    <summary>Move by choosing from lists</summary>
    <div class="stack close">
      <div class="side-by-side">
        <div class="field"><label for="move-from">From</label>
          <select
            id="move-from"
            value=${from}
            onChange=${(/** @type {any} */ event) => setFrom(event.target.value)}
          >
            ${places.map((place) => html`<option key=${place} value=${place}>${sentence(placeWords(place))}</option>`)}
          </select></div>
        <div class="field"><label for="move-to">To</label>
          <select
            id="move-to"
            value=${where}
            onChange=${(/** @type {any} */ event) => setWhere(event.target.value)}
          >
            ${options.map((place) => html`<option key=${place} value=${place}>${sentence(placeWords(place))}</option>`)}
          </select></div>
      </div>
      <button
        type="button"
        class="key"
        disabled=${from === where}
        onClick=${() => onMove(from, where)}
      >${where.includes('.') ? phrase('Swap these two') : phrase('Move it there')}</button>
    </div>
  </details>`;
}
