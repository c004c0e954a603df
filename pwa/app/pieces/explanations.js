/** What it may be, with probabilities; each opens into what it rests on. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { percent } from '../words.js';
import { Bar } from './bar.js';
import { Suspect } from './suspect.js';
import { Why } from './why.js';

/** @param {{open: import('../open-case.js').OpenCase}} props */
export function Explanations({ open }) {
  const diagnosis = open.diagnosis;
  if (!diagnosis?.explanations?.length) return null;
  const title = isOver(diagnosis) ? phrase('What it was') : phrase('What it may be');
  return html`<section class="stack close" aria-label=${title}>
    <h2>${title}</h2>
    <ul class="ruled">
      ${diagnosis.explanations.map(
        (/** @type {any} */ one) => html`<li key=${one.label}>
        <${Explanation} open=${open} one=${one} />
      </li>`,
      )}
      ${
        diagnosis.rest > 0.005 &&
        html`<li><${Rest} open=${open} /></li>`
      }
    </ul>
    ${diagnosis.thinned && html`<p class="soft">So many parts were moved that faults which the findings all but rule out are left out here.</p>`}
  </section>`;
}

const MISSES = 0.5; // from here on a cylinder is said to miss

/** Whether what the leading explanation blames is off the engine, or mended, and no cylinder is held to miss. @param {any} diagnosis */
function isOver({ explanations, components, cylinders, fixed }) {
  const stands = (/** @type {any} */ fault) =>
    components.find((/** @type {any} */ one) => one.component === fault.component)?.cylinders.length > 0;
  const misses = cylinders.some((/** @type {any} */ one) => one.misses > MISSES);
  return Boolean(fixed) && fixed.to_95 !== null && !misses && !explanations[0].faults.some(stands);
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

const MOST_OTHERS = 6;
const WORTH_SHOWING = 0.005;

/** What is not listed opens into the components that no listed explanation names. @param {{open: any}} props */
function Rest({ open }) {
  const [shown, setShown] = useState(false);
  const { rest, explanations, components } = open.diagnosis;
  const named = new Set(explanations.flatMap((/** @type {any} */ one) => one.faults.map((/** @type {any} */ fault) => fault.component)));
  const others = components
    .filter((/** @type {any} */ one) => !named.has(one.component) && one.fault > WORTH_SHOWING)
    .slice(0, MOST_OTHERS);
  return html`<div>
    <button type="button" class="explanation rest" aria-expanded=${shown} onClick=${() => setShown(!shown)}>
      <span class="explanation-label">Anything else</span>
      <span class="explanation-p">${percent(rest)}</span>
      <${Bar} share=${rest} />
    </button>
    ${
      shown &&
      html`<div class="why">
      <p>Other faults, and more than one of these at once.</p>
      <ul class="ruled">
        ${others.map((/** @type {any} */ one) => html`<li key=${one.component}><${Suspect} open=${open} component=${one} /></li>`)}
      </ul>
    </div>`
    }
  </div>`;
}
