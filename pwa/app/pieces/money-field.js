/** An amount, typed in whole units and kept in the currency's minor unit. */
import { useState } from 'preact/hooks';
import { digitsOf } from '../declared.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { plainNumber } from '../units.js';

/**
 * @param {object} props
 * @param {string} props.label
 * @param {string} props.path
 * @param {import('./form.js').Form} props.form
 * @param {string | undefined} props.currency
 */
export function MoneyField({ label, path, form, currency }) {
  const digits = digitsOf(currency);
  const held = form.get(path);
  const [typed, setTyped] = useState('');
  const shown = minorOf(typed, digits) === (held ?? '') ? typed : wholeOf(held, digits);
  const id = `f-${path.replaceAll('.', '-')}`;
  const problem = form.problemAt(path) && amountProblem(held, digits, form.problemAt(path), label);
  return html`<div class="field">
    <label for=${id}>${label}${currency ? ` (${currency})` : ''}</label>
    <input
      id=${id}
      type="text"
      inputmode="decimal"
      autocomplete="off"
      aria-invalid=${problem ? 'true' : undefined}
      aria-describedby=${problem ? `${id}-problem` : undefined}
      value=${shown}
      onInput=${(/** @type {any} */ event) => {
        setTyped(event.target.value);
        form.set(path, minorOf(event.target.value, digits));
      }}
    />
    ${problem && html`<p class="problem" id=${`${id}-problem`}>${problem}</p>`}
  </div>`;
}

/**
 * What is no amount stays as typed, so that the check can name it.
 * @param {string} typed
 * @param {number} digits
 */
function minorOf(typed, digits) {
  const value = plainNumber(typed);
  if (value === null) return typed.trim();
  const minor = Math.round(value * 10 ** digits);
  return Math.abs(value * 10 ** digits - minor) > 1e-6 ? typed.trim() : minor;
}

/** @param {any} held @param {number} digits */
function wholeOf(held, digits) {
  return typeof held === 'number' ? (held / 10 ** digits).toFixed(digits) : String(held ?? '');
}

/** @param {any} held @param {number} digits @param {string} problem @param {string} label */
function amountProblem(held, digits, problem, label) {
  if (typeof held !== 'string') return problem;
  return digits
    ? phrase('{label}: give an amount, with {digits} digits after the point at most.', { label, digits })
    : phrase('{label}: give an amount, without digits after the point.', { label });
}
