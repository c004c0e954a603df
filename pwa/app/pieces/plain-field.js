/** A labelled input outside the declared kinds: signing in, searching, settings. */
import { useId } from 'preact/hooks';
import { html } from '../html.js';

/**
 * @param {object} props
 * @param {string} props.label
 * @param {string} props.value
 * @param {(value: string) => void} props.onInput
 * @param {string} [props.type]
 * @param {string} [props.help]
 * @param {string} [props.problem]
 * @param {boolean} [props.invalid]  where the problem is told elsewhere
 * @param {boolean} [props.lines]
 */
export function PlainField({ label, value, onInput, type = 'text', help, problem, invalid = Boolean(problem), lines, ...rest }) {
  const id = useId();
  const described = [help && `${id}-help`, problem && `${id}-problem`].filter(Boolean).join(' ');
  const shared = {
    ...rest,
    id,
    value,
    onInput: (/** @type {any} */ event) => onInput(event.target.value),
    'aria-describedby': described || undefined,
    'aria-invalid': invalid ? 'true' : undefined,
  };
  return html`<div class="field">
    <label for=${id}>${label}</label>
    ${help && html`<p class="help" id=${`${id}-help`}>${help}</p>`}
    ${lines ? html`<textarea ...${shared}></textarea>` : html`<input type=${type} ...${shared} />`}
    ${problem && html`<p class="problem" id=${`${id}-problem`}>${problem}</p>`}
  </div>`;
}
