/** What was done: a part replaced, a connector or wire mended; with the torque and where it was read. */
import { partAt, placesOf } from '../case-look.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { BeforeWork } from '../pieces/before-work.js';
import { Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { NoteFields } from '../pieces/note-fields.js';
import { RecordScreen } from '../pieces/record-screen.js';
import { StillMoved } from '../pieces/still-moved.js';
import { TorqueFields, useTorqueQuestion } from '../pieces/torque-fields.js';
import { partOf, WhichPart, WorkedOn } from '../pieces/worked-on.js';
import { home, to } from '../route.js';
import { phrase } from '../tongue.js';
import { percent, sentence } from '../words.js';

/** @param {{id: string}} props */
export function Repair({ id }) {
  const form = useForm(`form/${id}/repair`, advised);
  const torque = useTorqueQuestion();
  const { entries, view, diagnosis } = openCase.value ?? {};
  const upToDate = view && view.timeline.length === entries?.length; // else the part may have been moved since
  const { work, place } = form.values;
  const replaced = work === 'replaced';
  /** Only what belongs to the chosen work becomes part of the entry. @param {Record<string, any>} values */
  const toBody = async ({ partKind: _, removed: __, elsewhere, component, place, brand, part_number, use, thread, extent, ...rest }) => {
    if (!work) return refuse('work', phrase('Say first what was done.'));
    if (!replaced && !place && !component && !elsewhere) return refuse('component', phrase('Say first what was worked on.'));
    if (replaced && !place) return refuse('place', phrase('Say first where the part was replaced.'));
    const fitted = replaced ? { removed: (upToDate && partAt(view, place).id) || undefined, brand, part_number, use, extent } : {};
    const body = { ...rest, ...(place ? { place, ...fitted } : { component }), ...(partOf(place) === 'plug' ? { thread } : {}) };
    return torque.settled(form, body);
  };
  const kind = replaced && view && partOf(place);
  const places = kind ? placesOf(view.engine, kind) : [];
  /** A set is an entry for each of its places, the one that was chosen first. @param {Record<string, any>} body */
  const inOneGo = (body) =>
    body.extent === 'all'
      ? [place, ...places.filter((other) => other !== place)].map((one) => ({
          ...body,
          place: one,
          removed: (upToDate && partAt(view, one).id) || undefined,
        }))
      : [body];
  /** @param {string} field @param {string} message */
  const refuse = (field, message) => {
    form.refuse([{ field, message }]);
    return null;
  };
  /** The part that came off gets its tag next. The core may still be working out which one that is. @param {import('../../field/log.js').Entry} entry */
  const next = ({ id: entry, body }) => {
    const removed = body.extent !== 'all' && (body.removed ?? (body.work === 'replaced' && !upToDate && !openCase.value?.viewTrouble && entry));
    return removed ? to('case', id, 'removed', removed) : home(id);
  };
  return html`<${RecordScreen}
    id=${id}
    title="Repair"
    kind="repair"
    form=${form}
    toBody=${toBody}
    inOneGo=${inOneGo}
    photoAbout=${{ shows: 'repair', ...(place ? { place } : {}) }}
    words="Record the repair"
    next=${next}
  >
    <${FromAdvice} form=${form} />
    <${BeforeWork} id=${id} />
    <${StillMoved} id=${id} />
    <${Field} kind="repair" path="work" form=${ofOneWork(form)} />
    ${replaced && view && html`<${WhichPart} form=${form} engine=${view.engine} />`}
    ${places.length > 1 && html`<${Field} kind="repair" path="extent" form=${form} />`}
    ${work && !replaced && view && html`<${WorkedOn} form=${form} diagnosis=${diagnosis} engine=${view.engine} work=${work} />`}
    ${
      replaced &&
      html`<div class="side-by-side">
        <${Field} kind="repair" path="brand" form=${form} />
        <${Field} kind="repair" path="part_number" form=${form} />
      </div>
      <${Field} kind="repair" path="use" form=${form} />`
    }
    ${work && html`<${TorqueFields} form=${form} folded=${!replaced} />`}
    <${NoteFields} kind="repair" form=${form} />
    ${torque.question}
  <//>`;
}

/** Where it was done is chosen anew with the work. @param {import('../pieces/form.js').Form} form */
function ofOneWork(form) {
  const set = (/** @type {string} */ path, /** @type {any} */ value) => {
    for (const where of ['partKind', 'place', 'component', 'elsewhere']) form.set(where, undefined);
    form.set(path, value);
  };
  return { ...form, set };
}

/** The repair that the advice puts first. A thought that does not know the latest entry yet decides nothing. */
function advice() {
  const open = openCase.value;
  const first = open?.thinking ? null : open?.diagnosis?.steps[0];
  return first?.kind === 'repair' ? first : null;
}

/** What the form starts from: what the advice has decided, else what the findings leave hardly any doubt about. */
function advised() {
  const component = suspect();
  const { place } = component ?? {};
  if (!component || advice()) return { ...advice()?.body };
  return place ? { work: 'replaced', place } : { work: 'mended', component: nameOf(component) };
}

const STANDS_OUT = 0.8; // from here on what the findings say is filled in; a choice of ours, no source

/** The component that the findings leave hardly any doubt about; none where it came off or was mended already. */
function suspect() {
  const open = openCase.value;
  const [first] = open?.thinking ? [] : (open?.diagnosis?.components ?? []);
  return first?.fault >= STANDS_OUT && first.cylinders.length ? first : null;
}

/** A component is the same one after it was mended. @param {any} component */
function nameOf({ component }) {
  return component.split('/')[0];
}

/**
 * Said as long as the form stands as the advice has filled it in. Advice that comes when the form is open fills in nothing
 * under the finger: a key does.
 * @param {{form: import('../pieces/form.js').Form}} props
 */
function FromAdvice({ form }) {
  const step = advice();
  const stands = !step && suspect();
  const fill = () => Object.entries(advised()).forEach(([path, value]) => form.set(path, value));
  if (!form.values.work && (step || stands))
    return html`<button type="button" class="key wide" onClick=${fill}>${phrase('As the findings say: {title}', { title: step?.title ?? sentence(stands.label) })}</button>`;
  if (stands && form.values.work && (stands.place ? form.values.place === stands.place : form.values.component === nameOf(stands)))
    return html`<p class="soft">
      ${phrase('Filled in from the findings: {label}, {percent}. Change what was done otherwise.', { label: sentence(stands.label), percent: percent(stands.fault) })}
    </p>`;
  const same = step && ['work', 'place', 'component'].every((name) => step.body[name] === form.values[name]);
  return same && html`<p class="soft">${phrase('Filled in from the advice: {title}. Change what was done otherwise.', { title: step.title })}</p>`;
}
