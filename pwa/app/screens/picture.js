/** One photo, as large as the screen. */
import { photoWords } from '../case-look.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { Icon } from '../pieces/icon.js';
import { Picture } from '../pieces/thumbs.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';

/** @param {{id: string, parts: string[]}} props */
export function PictureScreen({ id, parts }) {
  const [sha256] = parts;
  const view = openCase.value?.view;
  const photos = view?.photos ?? [];
  const index = photos.findIndex((/** @type {any} */ photo) => photo.sha256 === sha256);
  const words = index >= 0 ? photoWords(photos[index]) : phrase('Photo');
  const leave = () => (history.length > 1 ? history.back() : (location.hash = to('case', id)));
  /** @param {number} by */
  const neighbour = (by) => photos[index + by] && to('case', id, 'picture', photos[index + by].sha256);
  return html`<main class="picture-screen">
    <div class="picture-large">
      <h1 class="unseen">${words}</h1>
      <${Picture} sha256=${sha256} alt=${words} large=${true} />
    </div>
    <div class="picture-keys">
      <button type="button" class="key" onClick=${leave}><${Icon} name="cross" />Close</button>
      <p>${words}</p>
      ${
        neighbour(-1) &&
        html`<a
        class="key"
        href=${neighbour(-1)}
        aria-label="Photo before"
      ><${Icon} name="back" /></a>`
      }
      ${neighbour(1) && html`<a class="key" href=${neighbour(1)} aria-label="Next photo"><${Icon} name="onward" /></a>`}
    </div>
  </main>`;
}
