/** The trail of each part: every place it sat, one after the other. */
import { html } from '../html.js';
import { to } from '../route.js';
import { sentence } from '../words.js';

/** @param {{id: string, view: any, kind: string}} props */
export function Trails({ id, view, kind }) {
  const parts = view.parts.filter((/** @type {any} */ part) => part.kind === kind && part.trail.length > 1);
  if (!parts.length) return null;
  return html`<section class="stack close">
    <h2>Trails</h2>
    <ul class="ruled">
      ${parts.map(
        (/** @type {any} */ part) => html`<li
        key=${part.part}
        class="trail-row"
      ><a href=${to('case', id, 'part', part.part)}>${sentence(part.label)}</a><${Trail} trail=${part.trail} /></li>`,
      )}
    </ul>
  </section>`;
}

/** @param {{trail: {label: string}[]}} props */
export function Trail({ trail }) {
  return html`<ol class="trail">
    ${trail.map(
      (stop, index) => html`<li
      key=${index}
      class=${index === trail.length - 1 ? 'now' : ''}
    >${stop.label}</li>`,
    )}
  </ol>`;
}
