/** How far to trust the verdict: asked on demand, since every group of the tables' numbers is tried. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { html } from '../html.js';

/** @param {{open: import('../open-case.js').OpenCase}} props */
export function Trust({ open }) {
  const [answer, setAnswer] = useState(/** @type {any} */ (null));
  const [asking, setAsking] = useState(false);
  useEffect(() => {
    setAnswer(null);
    setAsking(false);
  }, [open.entries]);
  if (!open.diagnosis?.explanations?.length) return null;
  const find = async () => {
    setAsking(true);
    const told = await ask('trust', { entries: open.entries }, { topic: 'trust' });
    setAsking(false);
    if (told?.error?.code !== 'superseded') setAnswer(told ?? { text: 'There is nothing to judge yet.' });
  };
  if (answer) return html`<p class="trust">${answer.error ? answer.error.message : answer.text}</p>`;
  return html`<button type="button" class="key" disabled=${asking} onClick=${find}>
    ${asking ? 'Trying every number: some minutes' : 'How far to trust this'}
  </button>`;
}
