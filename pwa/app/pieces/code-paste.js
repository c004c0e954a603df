/** Any text that holds codes: what was found in it, and what was not understood. */
import { useState } from 'preact/hooks';
import { codesIn } from '../codes-found.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { PlainField } from './plain-field.js';

/**
 * @param {{form: import('./form.js').Form, onFound: (found: import('../codes-found.js').Found) => void}} props
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
    const found = await codesIn(text);
    setBusy(false);
    if ('error' in found)
      return setProblem(phrase('{message} The text is kept as it is; type the codes meanwhile.', { message: found.error.message }));
    if (!found.codes.length) setProblem(phrase('No code was found in this text. Type them above.'));
    else setTold(phrase('{n} code found.|{n} codes found.', { n: found.codes.length }));
    onFound(found);
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
        <p><strong>Not understood, kept with the reading:</strong></p><p class="figures" tabindex="0">${left}</p>
      </div>`
      }
    </div>
  </details>`;
}
