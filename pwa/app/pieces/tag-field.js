/** A tag's code as typed; its check symbol catches slips while the tag is still in the hand. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { html } from '../html.js';
import { PlainField } from './plain-field.js';

export const CODE_FIELD = 'tag-code'; // its name, by which the scan leads to it

/** @param {{words: string, onCode: (code: string) => void | Promise<void>, initial?: string}} props */
export function TagField({ words, onCode, initial = '' }) {
  const [typed, setTyped] = useState(initial);
  const [told, setTold] = useState(/** @type {any} */ (null));
  const [tried, setTried] = useState(false);
  useEffect(() => {
    setTold(null);
    if (!typed.trim()) return;
    let gone = false;
    void ask('check_tag', { text: typed }, { topic: 'check_tag', priority: 3 }).then((answer) => {
      if (!gone && answer.error?.code !== 'superseded') setTold(answer);
    });
    return () => {
      gone = true;
    };
  }, [typed]);
  const full = typed.replace(/[\s-]/g, '').length >= 10;
  const problem = (full || tried) && !told?.code ? (told?.message ?? told?.error?.message ?? '') : '';
  /** @param {Event} event */
  const submit = async (event) => {
    event.preventDefault();
    setTried(true);
    // Tapped before the core has answered: its answer is waited for.
    const answer = told ?? (await ask('check_tag', { text: typed }, { priority: 3 }));
    setTold(answer);
    if (answer.code) await onCode(answer.code);
  };
  return html`<form class="stack close" onSubmit=${(/** @type {Event} */ event) => void submit(event)}>
    <${PlainField} label="Code under the square" name=${CODE_FIELD} class="figures" value=${typed} onInput=${(
      /** @type {string} */ text,
    ) => {
      setTried(false);
      setTyped(text);
    }} problem=${problem} autocapitalize="characters" spellcheck=${false} autocomplete="off" />
    <button class="key" disabled=${!typed.trim()}>${words}</button>
  </form>`;
}
