/** What it may be, with probabilities; each opens into what it rests on. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { percent } from '../words.js';
import { Bar } from './bar.js';
import { Why } from './why.js';

/** @param {{open: import('../open-case.js').OpenCase}} props */
export function Explanations({ open }) {
  const diagnosis = open.diagnosis;
  if (!diagnosis?.explanations?.length) return null;
  return html`<section class="stack close" aria-label="What it may be">
    <h2>What it may be</h2>
    <ul class="ruled">
      ${diagnosis.explanations.map(
        (/** @type {any} */ one) => html`<li key=${one.label}>
        <${Explanation} open=${open} one=${one} />
      </li>`,
      )}
      ${
        diagnosis.rest > 0.005 &&
        html`<li class="explanation rest">
        <span class="explanation-label">Anything else</span>
        <span class="explanation-p">${percent(diagnosis.rest)}</span>
        <${Bar} share=${diagnosis.rest} />
      </li>`
      }
    </ul>
  </section>`;
}

/** @param {{open: import('../open-case.js').OpenCase, one: any}} props */
function Explanation({ open, one }) {
  const [shown, setShown] = useState(false);
  return html`<div>
    <button type="button" class="explanation" aria-expanded=${shown} onClick=${() => setShown(!shown)}>
      <span class="explanation-label">${one.label}</span><span class="explanation-p">${percent(one.p)}</span>
      <${Bar} share=${one.p} />
    </button>
    ${shown && html`<${Why} open=${open} explanation=${one} />`}
  </div>`;
}
