/** Where a removed part is now. */
import { html } from '../html.js';
import { save } from '../saving.js';
import { Field } from './fields.js';
import { useForm } from './form.js';

/** @param {{id: string, part: any, onDone: () => void}} props */
export function PartFate({ id, part, onDone }) {
  const form = useForm(`form/${id}/fate-${part.part}`, () => ({ fate: 'shelf' }));
  const record = async () => {
    const { entries, problems } = await save({
      case: id,
      kind: 'part_fate',
      body: { ...form.values, part: part.part },
    });
    if (!entries.length) return form.refuse(problems);
    await form.done();
    onDone();
  };
  if (!form.ready) return null;
  return html`<div class="stack">
    <${Field} kind="part_fate" path="fate" form=${form} />
    ${form.values.fate === 'bench_tested' && html`<${Field} kind="part_fate" path="bench" form=${form} />`}
    <${Field} kind="part_fate" path="next" form=${form} />
    <${Field} kind="part_fate" path="deadline" form=${form} />
    <${Field} kind="part_fate" path="note" form=${form} />
    <button type="button" class="key main wide" onClick=${() => void record()}>Keep where it is</button>
  </div>`;
}
