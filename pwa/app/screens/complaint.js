/** The complaint, when it was not taken with the car or has changed. */
import { html } from '../html.js';
import { ComplaintFields } from '../pieces/complaint-fields.js';
import { useForm } from '../pieces/form.js';
import { RecordScreen } from '../pieces/record-screen.js';

/** @param {{id: string}} props */
export function ComplaintScreen({ id }) {
  const form = useForm(`form/${id}/complaint`, () => ({}));
  return html`<${RecordScreen} id=${id} title="Complaint" kind="complaint" form=${form} words="Keep the complaint">
    <${ComplaintFields} form=${form} />
  <//>`;
}
