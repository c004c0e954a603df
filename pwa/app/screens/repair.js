/** What was done: a part replaced, a connector or wire mended; with the torque and where it was read. */
import { placesOf, servedBy } from '../case-look.js';
import { field } from '../declared.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { ChoiceField, Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { RecordScreen } from '../pieces/record-screen.js';
import { phrase } from '../tongue.js';
import { partKind, percent, placeParts, sentence } from '../words.js';

/** @param {{id: string}} props */
export function Repair({ id }) {
  const form = useForm(`form/${id}/repair`, () => ({ work: 'replaced' }));
  const open = openCase.value;
  const engine = open?.view?.engine;
  const replaced = form.values.work === 'replaced';
  /** Only what belongs to the chosen work becomes part of the entry. @param {Record<string, any>} values */
  const toBody = ({ partKind: _, component, place, brand, part_number, use, ...rest }) => {
    if (!replaced) return { ...rest, component };
    if (place) return { ...rest, place, brand, part_number, use };
    form.refuse([{ field: 'place', message: phrase('Say first where the part was replaced.') }]);
    return null;
  };
  return html`<${RecordScreen}
    id=${id}
    title="Repair"
    kind="repair"
    form=${form}
    toBody=${toBody}
    photoAbout=${{ shows: 'repair', ...(replaced && form.values.place ? { place: form.values.place } : {}) }}
    words="Record the repair"
  >
    <${Field} kind="repair" path="work" form=${form} />
    ${replaced && engine && html`<${WhichPart} form=${form} engine=${engine} />`}
    ${
      !replaced &&
      html`<${WhichComponent}
      form=${form}
      components=${open?.diagnosis?.components ?? []}
      engine=${engine}
    />`
    }
    ${
      replaced &&
      html`<div class="side-by-side">
        <${Field} kind="repair" path="brand" form=${form} />
        <${Field} kind="repair" path="part_number" form=${form} />
      </div>
      <${Field} kind="repair" path="use" form=${form} />`
    }
    <${Field} kind="repair" path="torque" form=${form} />
    <${Field} kind="repair" path="torque_source" form=${form} />
    <${Field} kind="repair" path="note" form=${form} />
  <//>`;
}

/** @param {{form: import('../pieces/form.js').Form, engine: any}} props */
function WhichPart({ form, engine }) {
  const kind = form.values.partKind ?? placeParts(form.values.place)?.kind ?? 'coil';
  const kinds = field('part_noted', 'kind');
  const places = placesOf(engine, kind).map((place) => {
    const served = servedBy(engine, place);
    const number = place.split('.')[1];
    return {
      value: place,
      label: served.length === 1 && String(served[0]) === number ? number : `${number} (${served.join(' + ')})`,
    };
  });
  const asKind = {
    ...form,
    get: () => kind,
    set(/** @type {string} */ _, /** @type {string} */ value) {
      form.set('partKind', value);
      form.set('place', undefined);
    },
  };
  return html`
    <${ChoiceField} field=${{ ...kinds, label: phrase('Part') }} path="partKind" form=${asKind} />
    <${ChoiceField}
      field=${{ type: 'choice', label: phrase('{part} at', { part: partKind(kind) }), choices: places }}
      path="place"
      form=${form}
    />
  `;
}

/**
 * What was worked on, most suspect first.
 * @param {{form: import('../pieces/form.js').Form, components: any[], engine: any}} props
 */
function WhichComponent({ form, components, engine }) {
  const fixed = components.filter((one) => !one.part);
  const choices = fixed.length
    ? fixed.map((one) => ({ value: one.component, label: `${sentence(one.label)} (${percent(one.fault)})` }))
    : placesOf(engine ?? { coils: [], cylinders: 0 }, 'coil').map((place) => ({
        value: `coil_connector@${place.split('.')[1]}`,
        label: phrase('Coil connector {n}', { n: place.split('.')[1] }),
      }));
  const declared = field('repair', 'component');
  const problem = form.problemAt('component');
  return html`<div class="field">
    <label for="component">${declared.label}</label>
    <select
      id="component"
      aria-invalid=${problem ? 'true' : undefined}
      value=${form.values.component ?? ''}
      onChange=${(/** @type {any} */ event) => form.set('component', event.target.value || undefined)}
    >
      <option value="">Something else, see the note</option>
      ${choices.map(
        (one) => html`<option
        key=${one.value}
        value=${one.value}
        selected=${one.value === form.values.component}
      >${one.label}</option>`,
      )}
    </select>
    ${problem && html`<p class="problem">${problem}</p>`}
  </div>`;
}
