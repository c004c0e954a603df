/** One photo, as large as the screen: on to the next by a swipe, closer by a key, and marks drawn over it. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { photoWords } from '../case-look.js';
import { check as checkOf } from '../declared.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { Icon } from '../pieces/icon.js';
import { KeptMarks } from '../pieces/kept-marks.js';
import { Picture } from '../pieces/thumbs.js';
import { goInstead, to } from '../route.js';
import { comparedPhotos } from '../rounds.js';
import { phrase } from '../tongue.js';

const SWIPE = 60; // px

/** @param {{id: string, parts: string[]}} props  `parts`: the picture, and the check whose photos stand side by side with it */
export function PictureScreen({ id, parts }) {
  const [sha256, key] = parts;
  const [marking, setMarking] = useState(false);
  const [closer, setCloser] = useState(false);
  const view = openCase.value?.view;
  const check = checkOf(key);
  const photos = view ? (check ? comparedPhotos(view, check) : view.photos) : [];
  const index = photos.findIndex((/** @type {any} */ photo) => photo.sha256 === sha256);
  const words = index >= 0 ? photoWords(photos[index]) : phrase('Photo');
  const leave = () => (history.length > 1 ? history.back() : (location.hash = to('case', id)));
  /** @param {number} by */
  const neighbour = (by) => {
    const other = photos[index + by];
    return other && to('case', id, 'picture', other.sha256, ...(check ? [check.key] : []));
  };
  const box = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => {
    const shown = box.current;
    if (closer && shown) shown.scrollTo((shown.scrollWidth - shown.clientWidth) / 2, (shown.scrollHeight - shown.clientHeight) / 2);
  }, [closer]);
  const swipe = useSwipe((by) => {
    const address = neighbour(by);
    if (address && !closer && !marking) goInstead(address);
  });
  return html`<main class=${`picture-screen ${marking ? 'marking' : ''}`}>
    <div class=${`picture-large ${closer ? 'closer' : ''}`} ref=${box} ...${swipe} tabindex=${closer ? 0 : undefined}>
      <h1 class="unseen">${words}</h1>
      <${Picture} sha256=${sha256} alt=${words} large=${true} fit="contain" />
    </div>
    ${
      marking
        ? html`<${KeptMarks} caseId=${id} photo=${photos[index]} onDone=${() => setMarking(false)} />`
        : html`<div class="picture-keys">
          <p>${words}</p>
          <button type="button" class="key" onClick=${leave}><${Icon} name="cross" />Close</button>
          <button type="button" class="key" aria-pressed=${closer} onClick=${() => setCloser(!closer)}>Larger</button>
          ${
            photos[index]?.entry &&
            html`<button
              type="button"
              class="key"
              onClick=${() => {
                setCloser(false);
                setMarking(true);
              }}
            ><${Icon} name="note" />Draw</button>`
          }
          ${neighbour(-1) && html`<${Neighbour} address=${neighbour(-1)} words="Photo before" icon="back" />`}
          ${neighbour(1) && html`<${Neighbour} address=${neighbour(1)} words="Next photo" icon="onward" />`}
        </div>`
    }
  </main>`;
}

/** The place of one picture is taken by the next, so that Close leads back at once. @param {{address: string, words: string, icon: any}} props */
function Neighbour({ address, words, icon }) {
  /** @param {Event} event */
  const instead = (event) => {
    event.preventDefault();
    goInstead(address);
  };
  return html`<a class="key" href=${address} aria-label=${words} onClick=${instead}><${Icon} name=${icon} /></a>`;
}

/** One finger from side to side. @param {(by: -1 | 1) => void} onSwipe */
function useSwipe(onSwipe) {
  const begun = useRef(/** @type {Touch | null} */ (null));
  return {
    onTouchStart: (/** @type {TouchEvent} */ event) => {
      begun.current = event.touches.length === 1 ? event.touches[0] : null;
    },
    onTouchEnd: (/** @type {TouchEvent} */ event) => {
      const from = begun.current;
      begun.current = null;
      if (!from || event.touches.length || (window.visualViewport?.scale ?? 1) > 1) return;
      const across = event.changedTouches[0].clientX - from.clientX;
      if (Math.abs(across) > SWIPE && Math.abs(across) > 2 * Math.abs(event.changedTouches[0].clientY - from.clientY))
        onSwipe(across < 0 ? 1 : -1);
    },
  };
}
