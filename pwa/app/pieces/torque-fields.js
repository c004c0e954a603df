/** The torque of a repair, and the question before one is recorded that can hardly be meant. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { asTyped, firstUnit, quantity } from '../units.js';
import { Field } from './fields.js';
import { Sheet } from './sheet.js';
import { partOf } from './worked-on.js';

const PATIENCE = 1500; // ms that the core is waited for: recording does not wait for thinking, the story marks it later

/** @param {{form: import('./form.js').Form, folded: boolean}} props  folded: the work is seldom one with a torque */
export function TorqueFields({ form, folded }) {
  const fields = html`
    <${Field} kind="repair" path="torque" form=${form} />
    <${Span} form=${form} />
    <${Field} kind="repair" path="torque_source" form=${form} />
    ${partOf(form.values.place) === 'plug' && html`<${Thread} form=${form} />`}
  `;
  if (!folded) return fields;
  return html`<details class="more" open=${Boolean(form.values.torque)}>
    <summary>Torque</summary>
    <div class="stack">${fields}</div>
  </details>`;
}

/** What is plausible, told before a figure is typed. @param {{form: import('./form.js').Form}} props */
function Span({ form }) {
  const [span, setSpan] = useState(/** @type {{text: string, origin: string} | null} */ (null));
  const { place, component, thread, torque } = form.values;
  const unit = torque?.unit ?? firstUnit('torque');
  useEffect(() => {
    let gone = false;
    void ask('torque', { body: { place, component, thread }, unit }, { topic: 'torque span', priority: 3 }).then((answer) => {
      if (!gone && !answer.error) setSpan(answer.span);
    });
    return () => {
      gone = true;
    };
  }, [place, component, thread, unit]);
  return html`<div aria-live="polite">${span && html`<p class="soft">${span.text}</p><${Origin} of=${span} />`}</div>`;
}

/** Where a span comes from, for who asks. @param {{of: {origin: string}}} props */
function Origin({ of }) {
  return html`<details>
    <summary class="soft">Where the span is from</summary>
    <p class="soft">${of.origin}</p>
  </details>`;
}

/** It narrows what can be meant, and is seldom looked up. @param {{form: import('./form.js').Form}} props */
function Thread({ form }) {
  return html`<details class="more" open=${Boolean(form.values.thread)}>
    <summary>Thread and seat of the plug</summary>
    <${Field} kind="repair" path="thread" form=${form} />
  </details>`;
}

/** `settled` gives the body as it is to be recorded, or null where the torque is to be corrected first; `question` is shown meanwhile. */
export function useTorqueQuestion() {
  const [asked, setAsked] = useState(/** @type {{doubt: any, body: any, answer: (body: any) => void} | null} */ (null));
  /** @param {import('./form.js').Form} form @param {Record<string, any>} body @returns {Promise<Record<string, any> | null>} */
  const settled = async (form, body) => {
    if (!Number.isFinite(body.torque?.si)) return body;
    const late = new Promise((resolve) => setTimeout(() => resolve({}), PATIENCE));
    const { doubt } = await Promise.race([ask('torque', { body }, { priority: 3 }), late]);
    if (!doubt) return body;
    const answered = await new Promise((resolve) => setAsked({ doubt, body, answer: resolve }));
    setAsked(null);
    if (answered) form.set('torque', answered.torque);
    else requestAnimationFrame(() => document.getElementById('f-torque')?.focus());
    return answered;
  };
  return { settled, question: asked && html`<${Question} ...${asked} />` };
}

/** @param {{doubt: any, body: any, answer: (body: any) => void}} props */
function Question({ doubt, body, answer }) {
  const { torque } = body;
  return html`<${Sheet} title="Is that the torque?" onClose=${() => answer(null)}>
    <div class="stack">
      <p>${doubt.text} ${phrase('Was it mistyped, or is it another unit?')}</p>
      <p>The maker's figure for this engine rules, whatever is usual.</p>
      <${Origin} of=${doubt} />
      <div class="stack close">
        <button type="button" class="key main wide" onClick=${() => answer(null)}>Correct it</button>
        ${doubt.instead.map(
          (/** @type {any} */ one) => html`<button
            type="button"
            class="key wide"
            key=${one.unit}
            onClick=${() => answer({ ...body, torque: quantity(torque.typed, one.unit, 'torque') })}
          >${phrase('It was {torque}', { torque: one.text })}</button>`,
        )}
        <button type="button" class="key wide" onClick=${() => answer(body)}>
          ${phrase('{torque} is right, as the maker says', { torque: asTyped(torque) })}
        </button>
      </div>
    </div>
  <//>`;
}
