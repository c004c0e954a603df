/** Any text that holds codes: what was found in it, and what was not understood. */
import { useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { field } from '../declared.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { PlainField } from './plain-field.js';

/**
 * @param {{form: import('./form.js').Form, onFound: (codes: any[], obtained: string, more: {raw: string, left: string}) => void}} props
 */
export function CodePaste({ form, onFound }) {
  const [told, setTold] = useState('');
  const [problem, setProblem] = useState('');
  const [busy, setBusy] = useState(false);
  const text = form.values.pasted ?? '';

  const find = async () => {
    setBusy(true);
    setProblem('');
    setTold('');
    const answer = await ask('find_codes', { text }, { topic: 'find_codes', priority: 3 });
    setBusy(false);
    if (answer.error) return setProblem(phrase('{message} The text is kept as it is; type the codes meanwhile.', { message: answer.error.message }));
    if (!answer.codes.length) setProblem(phrase('No code was found in this text. Type them above.'));
    else setTold(phrase('{n} code found.|{n} codes found.', { n: answer.codes.length }));
    onFound(answer.codes, answer.obtained ?? 'pasted', {
      raw: clipped(text, 'raw'),
      left: clipped((answer.left_over ?? []).join('\n'), 'not_understood'),
    });
  };
  const left = form.values.not_understood;
  return html`<details class="more" open=${Boolean(text)}>
    <summary>Paste a text with codes in it</summary>
    <div class="stack close">
      <${PlainField}
        label="Text from a reader or a message"
        lines=${true}
        value=${text}
        onInput=${(/** @type {string} */ typed) => form.set('pasted', typed)}
        problem=${problem}
      />
      <button
        type="button"
        class="key"
        disabled=${busy || !text.trim()}
        aria-busy=${busy}
        onClick=${() => void find()}
      >Find codes in it</button>
      <p role="status">${told}</p>
      ${
        left &&
        html`<div class="left-over">
        <p><strong>Not understood, kept with the reading:</strong></p><p class="figures">${left}</p>
      </div>`
      }
    </div>
  </details>`;
}

const BYTES = 24000; // of either text: both together stay within the limit of an entry's body

/** As much of a text as an entry takes. @param {string} text @param {'raw' | 'not_understood'} name */
function clipped(text, name) {
  let kept = text.slice(0, field('codes_read', name).max);
  while (new TextEncoder().encode(kept).length > BYTES) kept = kept.slice(0, Math.floor(kept.length * 0.9));
  return kept;
}
