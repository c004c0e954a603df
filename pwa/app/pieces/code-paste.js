/** Any text that holds codes: what was found in it, and what was not understood. */
import { useState } from 'preact/hooks';
import { codesIn, rawOf } from '../codes-found.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { PlainField } from './plain-field.js';

/**
 * The search of the pasted text. `waits`: the text has not been searched as it stands, so that a reading kept now would be without it.
 * @param {import('./form.js').Form} form
 * @param {(found: import('../codes-found.js').Found) => void} onFound
 */
export function usePaste(form, onFound) {
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
  return { text, told, problem, busy, find, waits: Boolean(text.trim()) && rawOf(text) !== form.values.raw };
}

/** @param {{form: import('./form.js').Form, paste: ReturnType<typeof usePaste>}} props */
export function CodePaste({ form, paste }) {
  const { text, told, problem, busy, find } = paste;
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
