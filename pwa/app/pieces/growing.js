/** A line of text that grows with what is written in it: nothing of it is cut off at the edge. */
import { useId, useLayoutEffect, useRef } from 'preact/hooks';
import { html } from '../html.js';

/** @param {Record<string, any>} attributes  as of an input */
export function GrowingLine(attributes) {
  const line = useRef(/** @type {HTMLTextAreaElement | null} */ (null));
  useLayoutEffect(() => {
    const shown = line.current;
    if (!shown) return;
    shown.style.height = 'auto';
    shown.style.height = `${shown.scrollHeight + shown.offsetHeight - shown.clientHeight}px`;
  }, [attributes.value]);
  /** It is one line all the same. @param {KeyboardEvent} event */
  const onKeyDown = (event) => {
    if (event.key === 'Enter') event.preventDefault();
  };
  return html`<textarea class="growing" rows="1" ref=${line} ...${attributes} onKeyDown=${onKeyDown}></textarea>`;
}

/**
 * Such a line with its label, outside the declared kinds.
 * @param {{label: string, value: string, onInput: (value: string) => void, problem?: string}} props
 */
export function GrowingField({ label, value, onInput, problem }) {
  const id = useId();
  return html`<div class="field">
    <label for=${id}>${label}</label>
    <${GrowingLine}
      id=${id}
      value=${value}
      onInput=${(/** @type {any} */ event) => onInput(event.target.value)}
      aria-describedby=${problem ? `${id}-problem` : undefined}
      aria-invalid=${problem ? 'true' : undefined}
    />
    ${problem && html`<p class="problem" id=${`${id}-problem`}>${problem}</p>`}
  </div>`;
}
