/** Small pictures that open large. */
import { useEffect, useState } from 'preact/hooks';
import { photoUrl, releaseUrl, thumbUrl } from '../../field/photos.js';
import { html } from '../html.js';
import { MarkDrawing, marksOver, withMarks } from '../marks.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';

/**
 * The address of a picture as long as it is shown. `undefined`: being fetched; null: not to be had now.
 * @param {string} sha256
 * @param {boolean} [large]
 */
export function useImage(sha256, large = false) {
  const [url, setUrl] = useState(/** @type {string | null | undefined} */ (undefined));
  useEffect(() => {
    /** @type {string | null} */
    let held = null;
    let gone = false;
    (large ? photoUrl : thumbUrl)(sha256)
      .catch(() => null)
      .then((found) => {
        if (gone) return releaseUrl(found);
        held = found;
        setUrl(found);
      });
    return () => {
      gone = true;
      releaseUrl(held);
    };
  }, [sha256, large]);
  return url;
}

/**
 * A picture with what is drawn over it: by the open case, where `marked` does not say.
 * @param {{sha256: string, alt: string, large?: boolean, fit?: 'cover' | 'contain', marked?: {width?: number, height?: number, marks?: import('../marks.js').Mark[]}}} props
 *   `fit`: how it fills its box
 */
export function Picture({ sha256, alt, large, fit, marked: own }) {
  const marked = own ? own.marks?.length && { ...own, marks: own.marks } : marksOver(sha256);
  const url = useImage(sha256, large);
  if (url === undefined)
    return html`<span class="picture-wait" role="img" aria-label=${phrase('{alt}, being fetched', { alt })}></span>`;
  if (url === null)
    return html`<span class="picture-gone"><span class="unseen">${alt}: </span>${large ? phrase('The photo is in the shop and needs a connection') : phrase('In the shop')}</span>`;
  if (!marked) return html`<img src=${url} alt=${alt} />`;
  return html`<span class="marked">
    <img src=${url} alt=${withMarks(alt, marked.marks)} /><${MarkDrawing} ...${marked} name=${sha256} fit=${fit} />
  </span>`;
}

/**
 * @param {{photos: {sha256: string, alt: string}[], caseId: string}} props
 */
export function Thumbs({ photos, caseId }) {
  if (!photos.length) return null;
  return html`<ul class="thumbs">
    ${photos.map(
      ({ sha256, alt }) =>
        html`<li key=${sha256}>
          <a href=${to('case', caseId, 'picture', sha256)}><${Picture} sha256=${sha256} alt=${alt} /></a>
        </li>`,
    )}
  </ul>`;
}
