/** A closed case opened again. */
import { html } from '../html.js';
import { Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { RecordScreen } from '../pieces/record-screen.js';

/** @param {{id: string}} props */
export function Reopen({ id }) {
  const form = useForm(`form/${id}/reopen`, () => ({}));
  return html`<${RecordScreen} id=${id} title="Open again" kind="case_reopened" form=${form} words="Open it again">
    <${Field} kind="case_reopened" path="why" form=${form} />
  <//>`;
}
