/** Codes cleared: what goes with them is said first. */
import { field, kindOf } from '../declared.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { Notice } from '../pieces/notice.js';
import { RecordScreen } from '../pieces/record-screen.js';
import { to } from '../route.js';

/** @param {{id: string}} props */
export function Clear({ id }) {
  const form = useForm(`form/${id}/clear`, () => ({ how: field('codes_cleared', 'how').choices?.[0].value }));
  const read = openCase.value?.entries?.some((entry) => entry.kind === 'codes_read');
  return html`<${RecordScreen} id=${id} title="Clear codes" kind="codes_cleared" form=${form} words="Codes are cleared">
    <${Notice} tone="warn"><p>${kindOf('codes_cleared').help}</p><//>
    ${
      !read &&
      html`<${Notice} tone="trouble" icon="codes" title="No codes are recorded yet">
      <p>Once cleared they are gone. Read and keep them first.</p>
      <a class="key" href=${to('case', id, 'codes')}>To the codes</a>
    <//>`
    }
    <${Field} kind="codes_cleared" path="how" form=${form} />
    <${Field} kind="codes_cleared" path="note" form=${form} />
  <//>`;
}
