/** One component with its probability, which opens into the explanations that name it and what they rest on. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { percent, sentence } from '../words.js';
import { Bar } from './bar.js';
import { Why } from './why.js';

/** @param {{open: import('../open-case.js').OpenCase, component: any}} props */
export function Suspect({ open, component }) {
  const [shown, setShown] = useState(false);
  return html`<div>
    <button type="button" class="explanation" aria-expanded=${shown} onClick=${() => setShown(!shown)}>
      <span class="explanation-label">${sentence(component.label)}</span>
      <span class="explanation-p">${percent(component.fault)}</span>
      <${Bar} share=${component.fault} />
    </button>
    ${shown && html`<${Behind} open=${open} component=${component} />`}
  </div>`;
}

/** @param {{open: import('../open-case.js').OpenCase, component: any}} props */
function Behind({ open, component }) {
  const naming = (open.diagnosis?.explanations ?? []).filter((/** @type {any} */ one) =>
    one.faults.some((/** @type {any} */ fault) => fault.component === component.component),
  );
  return html`<div class="stack close">
    <p>
      Before any finding ${percent(component.prior)}.${' '}
      ${!naming.length && phrase('What was found leaves it too unlikely to be weighed by itself.')}
    </p>
    ${naming.slice(0, 1).map(
      (/** @type {any} */ one) => html`<div key=${one.label}>
      <p>Most of it: <strong>${one.label}</strong>, ${percent(one.p)}</p>
      <${Why} open=${open} explanation=${one} />
    </div>`,
    )}
  </div>`;
}
