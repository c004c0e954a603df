/** A code typed by hand, its meaning shown while it is typed; where the core is not ready it is taken all the same. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { isCode } from '../codes-found.js';
import { field } from '../declared.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { ChoiceField } from './fields.js';

const LONGEST_CODE = 8; // with a blank or a dash in it
const NO_CODE = phrase('A code is P, C, B or U, then a figure from 0 to 3 and three more, such as P0303.');

/**
 * @param {{form: import('./form.js').Form, onAdd: (read: {code: string, status: string, words?: string}) => void}} props
 */
export function CodeType({ form, onAdd }) {
  const typed = form.values.typed ?? '';
  const [told, setTold] = useState(/** @type {any} */ (null));
  // What was likely meant stays offered while the next code is typed over it, until it is taken or put away.
  const [offered, setOffered] = useState(/** @type {string[]} */ ([]));
  const [problem, setProblem] = useState('');
  const input = useRef(/** @type {HTMLInputElement | null} */ (null));
  const whole = typed.length === 5;
  useEffect(() => {
    if (!form.kept) input.current?.focus();
  }, []);

  useEffect(() => {
    setTold(null);
    if (!whole) return;
    let gone = false;
    void ask('likely_code', { text: typed }, { topic: 'likely_code', priority: 3 }).then((answer) => {
      if (!gone && answer.code) setOffered((before) => [...new Set([...before, answer.code])]);
    });
    void ask('explain_code', { code: typed }, { topic: 'explain_code', priority: 3 }).then((answer) => {
      if (!gone && answer.error?.code !== 'superseded') setTold(answer);
    });
    return () => {
      gone = true;
    };
  }, [typed]);

  const status = form.values.status ?? 'stored';
  /** @param {Event} event */
  const add = (event) => {
    event.preventDefault();
    if (typed.length > LONGEST_CODE) return findIn(typed);
    if (!isCode(typed)) return setProblem(told?.error?.message ?? NO_CODE);
    take(typed, told?.text);
    form.set('typed', undefined);
  };
  /** @param {string} code @param {string} [words] */
  const take = (code, words) => {
    onAdd({ code, status, words });
    putAway(code);
    setProblem('');
    input.current?.focus(); // the keyboard stays for the next one
  };
  /** The slip goes with what it was read as; another code begun meanwhile stays. @param {string} code */
  const takeOffered = async (code) => {
    const { code: meant } = typed.length === 5 ? await ask('likely_code', { text: typed }, { priority: 3 }) : { code: '' };
    take(code);
    if (meant === code) form.set('typed', undefined);
  };
  /** @param {string} code */
  const putAway = (code) => setOffered((before) => before.filter((one) => one !== code));
  /** @param {any} event */
  const onInput = (event) => {
    setProblem('');
    const text = event.target.value.toUpperCase();
    form.set('typed', text.trim().length > LONGEST_CODE ? text : text.replace(/\s/g, ''));
  };

  /** More than a code: it goes where codes are looked for in a text. @param {string} text */
  const findIn = (text) => {
    form.set('pasted', text);
    form.set('typed', undefined);
  };
  /** @param {ClipboardEvent} event */
  const onPaste = (event) => {
    const text = event.clipboardData?.getData('text') ?? '';
    if (text.trim().length <= LONGEST_CODE) return;
    event.preventDefault();
    findIn(text);
  };

  const shown = problem || form.problemAt('typed') || (whole && told?.error?.message);
  const declared = /** @type {import('../declared.js').Field} */ (field('codes_read', 'codes.status'));
  const statusForm = {
    ...form,
    get: () => status,
    set: (/** @type {string} */ _, /** @type {string} */ value) => form.set('status', value),
    problemAt: () => '',
  };
  return html`<form class="stack close" onSubmit=${add}>
    <div class="code-entry">
      <div class="field">
        <label for="code-typed">Code</label>
        <input
          id="code-typed"
          ref=${input}
          class="figures"
          type="text"
          autocomplete="off"
          autocapitalize="characters"
          spellcheck=${false}
          enterkeyhint="enter"
          value=${typed}
          aria-invalid=${shown ? 'true' : undefined}
          aria-describedby="code-told"
          onInput=${onInput}
          onPaste=${onPaste}
        />
      </div>
      <button class="key">Add</button>
    </div>
    <p id="code-told" aria-live="polite" class=${shown ? 'problem' : 'told'}>${shown || told?.text || ''}</p>
    ${offered.map(
      (code) => html`<div class="keys" key=${code}>
        <button type="button" class="key" onClick=${() => takeOffered(code)}>${phrase('Is it {code}? Add it', { code })}</button>
        <button type="button" class="key quiet" onClick=${() => putAway(code)}>${phrase('Not {code}', { code })}</button>
      </div>`,
    )}
    <${ChoiceField} field=${declared} path="status" form=${statusForm} />
  </form>`;
}
