/** The torque of a repair, told after it was recorded. */
import { rowOf } from '../case-look.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';

import { useForm } from '../pieces/form.js';
import { RecordScreen } from '../pieces/record-screen.js';
import { TorqueFields, useTorqueQuestion } from '../pieces/torque-fields.js';
import { goInstead, home } from '../route.js';
import { save } from '../saving.js';
import { phrase } from '../tongue.js';
import { asTyped } from '../units.js';

const NOT_MEASURED = 'not_measured'; // `torque.NOT_MEASURED` of the core

/** @param {{id: string, parts: string[]}} props */
export function TorqueScreen({ id, parts }) {
  const form = useForm(`form/${id}/torque-${parts[0]}`, () => ({}));
  const torque = useTorqueQuestion();
  const open = openCase.value;
  const repair = open?.entries?.find((one) => one.id === parts[0] && one.kind === 'repair');
  const question = `torque/${parts[0]}`;
  /** @param {Record<string, any>} values */
  const toBody = async ({ torque: typed, torque_source: note }) => {
    if (!Number.isFinite(typed?.si)) {
      form.refuse([{ field: 'torque', message: phrase('Type the torque as a number.') }]);
      return null;
    }
    const settled = await torque.settled(form, { ...repair?.body, torque: typed });
    return settled && { question, answer: asTyped(settled.torque), note };
  };
  const unmeasured = async () => {
    const { entries } = await save({ case: id, kind: 'answered', body: { question, answer: NOT_MEASURED } });
    if (entries.length) goInstead(home(id));
  };
  return html`<${RecordScreen} id=${id} title="Torque" kind="answered" form=${form} toBody=${toBody} words="Record the torque">
    ${repair && html`<p class="part-now">${(open?.view && rowOf(open.view, repair.id)?.text) ?? ''}</p>`}
    <${TorqueFields} form=${form} folded=${false} />
    <button type="button" class="key wide" onClick=${() => void unmeasured()}>It was not measured</button>
    ${torque.question}
  <//>`;
}
