/** What a part is and what is known of its past. */
import { html } from '../html.js';
import { save } from '../saving.js';
import { placeParts } from '../words.js';
import { Field } from './fields.js';
import { useForm } from './form.js';

/** @param {{id: string, part: any, onDone: () => void}} props */
export function PartNote({ id, part, onDone }) {
  const form = useForm(`form/${id}/part-${part.part}`, () => ({ ...part.noted }));
  const record = async () => {
    const place = placeParts(part.place) ? { place: part.place } : {};
    const { entries, problems } = await save({
      case: id,
      kind: 'part_noted',
      body: { ...form.values, part: part.part, kind: part.kind, ...place },
    });
    if (!entries.length) return form.refuse(problems);
    await form.done();
    onDone();
  };
  if (!form.ready) return null;
  return html`<div class="stack">
    <div class="side-by-side">
      ${['brand', 'part_number', 'age_months'].map(
        (name) => html`<${Field}
        key=${name}
        kind="part_noted"
        path=${name}
        form=${form}
      />`,
      )}
    </div>
    <${Field} kind="part_noted" path="use" form=${form} />
    <${Field} kind="part_noted" path="origin" form=${form} />
    <${Field} kind="part_noted" path="past" form=${form} />
    <button type="button" class="key main wide" onClick=${() => void record()}>Keep what it is</button>
  </div>`;
}
