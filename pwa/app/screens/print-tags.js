/** Tags printed ahead: new codes on a roll or on sheets, to be bound beside the car by a scan, also without a signal. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { changePrinter, PAPERS, printer } from '../label-size.js';
import { LabelFields } from '../pieces/label-fields.js';
import { PlainField } from '../pieces/plain-field.js';
import { Screen } from '../pieces/screen.js';
import { Select } from '../pieces/select.js';
import { openFile } from '../print-file.js';
import { to } from '../route.js';
import { say } from '../said.js';
import { phrase } from '../tongue.js';

const MOST = 300; // as in the shop

export function PrintTags() {
  const [typed, setTyped] = useState('30');
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState({ field: '', message: '' });
  const { size, dpi, paper } = printer.value;
  const make = async () => {
    const count = Number(typed);
    if (!Number.isInteger(count) || count < 1 || count > MOST)
      return setProblem({ field: 'count', message: phrase('Give a whole number from 1 to {MOST}.', { MOST }) });
    setBusy(true);
    setProblem({ field: '', message: '' });
    try {
      await openFile('POST', '/api/tags/roll', `tags-${size}-${count}.pdf`, { count, size, dpi: Number(dpi), paper });
      say(phrase('{n} tag is in the file|{n} tags are in the file', { n: count }));
    } catch (trouble) {
      setProblem({ field: '', message: /** @type {Error} */ (trouble).message });
    }
    setBusy(false);
  };
  const keys = html`<button type="button" class="key main wide tall" aria-busy=${busy} disabled=${busy} onClick=${() => void make()}>
    ${busy ? phrase('Drawing the tags') : phrase('Make the file')}
  </button>`;
  return html`<${Screen} title="Print tags" back=${to('shelf')} keys=${keys} class="desk">
    <p>
      Tags that hang on nothing yet. Beside the car, scan one or type its ten characters to bind it to a part; that needs no signal.
    </p>
    <div class="stack">
      <${PlainField}
        label="How many"
        value=${typed}
        onInput=${setTyped}
        inputmode="numeric"
        problem=${problem.field === 'count' && problem.message}
      />
      <${LabelFields} />
      <${Select}
        label="Printed on"
        value=${paper}
        choices=${PAPERS}
        onChange=${(/** @type {string} */ chosen) => changePrinter({ paper: chosen })}
      />
      <p class="soft">Print the file at its real size, not fitted to the page: the squares are drawn in whole dots of the printer.</p>
      ${!problem.field && problem.message && html`<p class="problem" role="alert">${problem.message}</p>`}
    </div>
  <//>`;
}
