/** The complaint: taken, added to, or changed since. */
import { standing } from '../../field/summaries.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { ComplaintFields } from '../pieces/complaint-fields.js';
import { ChoiceField } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { RecordScreen } from '../pieces/record-screen.js';
import { phrase } from '../tongue.js';

/** @typedef {import('../../field/log.js').Entry} Entry */

const ADDED = 'added';

/** @param {{id: string}} props */
export function ComplaintScreen({ id }) {
  const entries = openCase.value?.entries;
  if (!entries) return html`<${CaseScreen} id=${id} title="Complaint" />`;
  return html`<${Complaint} id=${id} former=${standing(entries).findLast(({ kind }) => kind === 'complaint')} />`;
}

/** @param {{id: string, former: Entry | undefined}} props  `former`: what was said so far */
function Complaint({ id, former }) {
  const form = useForm(`form/${id}/complaint`, () => (former ? { ...former.body, how: ADDED } : {}));
  const { how } = form.values;
  /** @param {Record<string, any>} values */
  const toBody = ({ how: _, ...body }) => body;
  const choices = [
    { value: ADDED, label: phrase('Adds to what was said, or puts it right') },
    { value: 'changed', label: phrase('It has changed since') },
  ];
  return html`<${RecordScreen}
    id=${id}
    title="Complaint"
    kind="complaint"
    form=${form}
    toBody=${toBody}
    former=${how === ADDED ? former : undefined}
    words="Keep the complaint"
  >
    ${former && html`<${ChoiceField} field=${{ type: 'choice', label: phrase('What is new'), choices }} path="how" form=${form} />`}
    <${ComplaintFields} form=${form} />
  <//>`;
}
