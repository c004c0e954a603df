/** The car and whose it is, put right: the entry that opened the case is struck, another takes its place. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { lastOf } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { EngineFields } from '../pieces/engine-fields.js';
import { useForm } from '../pieces/form.js';
import { asRecorded, CustomerFields, VehicleFields } from '../pieces/opened-fields.js';
import { puttingRight } from '../put-right.js';
import { goInstead, to } from '../route.js';
import { saveAll } from '../saving.js';

/** @param {{id: string}} props */
export function Vehicle({ id }) {
  const opened = lastOf('case_opened');
  if (!opened) return html`<${CaseScreen} id=${id} title="Vehicle and customer" />`;
  return html`<${PutRight} id=${id} opened=${opened} />`;
}

/** @param {{id: string, opened: import('../../field/log.js').Entry}} props */
function PutRight({ id, opened }) {
  const form = useForm(`form/${id}/vehicle`, () => ({ opened: opened.body }));
  const [busy, setBusy] = useState(false);
  const record = async () => {
    setBusy(true);
    const { entries, problems } = await saveAll(puttingRight(opened, asRecorded(form.values.opened)));
    setBusy(false);
    if (!entries.length)
      return form.refuse(problems.map((problem) => ({ ...problem, field: problem.field.replace(/^0\./, 'opened.') })));
    await form.done();
    goInstead(to('case', id));
  };
  const keys = html`<button type="button" class="key main wide tall" disabled=${busy} onClick=${() => void record()}>Keep</button>`;
  return html`<${CaseScreen} id=${id} title="Vehicle and customer" keys=${form.ready && keys}>
    ${form.ready && html`<div class="stack">
      <${VehicleFields} form=${form} />
      <section class="stack close"><h2>Engine</h2><${EngineFields} form=${form} /></section>
      <${CustomerFields} form=${form} />
    </div>`}
  <//>`;
}
