/** What a repair was about: the part that was replaced, or what was mended, cleaned or seen to otherwise. */
import { placesOf, servedBy } from '../case-look.js';
import { field } from '../declared.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { partKind, placeParts, sentence } from '../words.js';
import { ChoiceField } from './fields.js';

/**
 * @typedef {object} Choice
 * @property {string} name  of the component
 * @property {string} value  what is recorded: the component, or the place of a part
 * @property {string} label
 * @property {string} group  what it is
 * @property {string} short  its number, where it has one
 * @property {boolean} whole  it serves the whole engine
 */

const ELSE = 'else'; // nothing that has a name here

/** The kind of part at a place. @param {string | undefined} place */
export function partOf(place) {
  return placeParts(place)?.kind;
}

/** @param {{form: import('./form.js').Form, engine: any}} props */
export function WhichPart({ form, engine }) {
  const kind = form.values.partKind ?? partOf(form.values.place);
  const asKind = {
    ...form,
    get: () => kind,
    set(/** @type {string} */ _, /** @type {string} */ value) {
      form.set('partKind', value);
      form.set('place', undefined);
    },
    problemAt: () => (kind ? '' : form.problemAt('place')),
  };
  const places = kind ? placesOf(engine, kind).map((place) => ({ value: place, label: numberOf(engine, place) })) : [];
  return html`
    <${ChoiceField} field=${{ ...field('part_noted', 'kind'), label: phrase('Part') }} path="partKind" form=${asKind} />
    ${
      kind &&
      html`<div class="numerals">
      <${ChoiceField} field=${{ type: 'choice', label: phrase('{part} at', { part: partKind(kind) }), choices: places }} path="place" form=${form} />
    </div>`
    }
  `;
}

/** The number of a place, with the cylinders it serves where they are not that one. @param {any} engine @param {string} place */
function numberOf(engine, place) {
  const served = servedBy(engine, place);
  const number = place.split('.')[1];
  return served.length === 1 && String(served[0]) === number ? number : `${number} (${served.join(' + ')})`;
}

/**
 * First what the findings name, then everything by group.
 * @param {{form: import('./form.js').Form, diagnosis: any, engine: any, work: string}} props
 */
export function WorkedOn({ form, diagnosis, engine, work }) {
  const all = choicesOf(diagnosis, engine, work);
  const named = new Set((diagnosis?.named ?? []).map(plainName));
  const first = all.filter((one) => named.has(one.name));
  const chosen = form.values.place ?? form.values.component ?? (form.values.elsewhere ? ELSE : '');
  const choose = (/** @type {string} */ value) => {
    const isPlace = Boolean(partOf(value));
    form.set('place', isPlace ? value : undefined);
    form.set('component', isPlace || value === ELSE ? undefined : value);
    form.set('elsewhere', value === ELSE || undefined);
  };
  // What stands in both lists is chosen in both, which one set of radio keys cannot be.
  const key = (/** @type {string} */ list, /** @type {string} */ value, /** @type {string} */ label) => html`<label class="choice" key=${value}>
    <input type="radio" name=${list} checked=${value === chosen} onChange=${() => choose(value)} /><span>${label}</span>
  </label>`;
  const problem = form.problemAt('component');
  const declared = field('repair', 'component');
  const unfolded = !first.length || all.some((one) => one.value === chosen && !first.includes(one));
  return html`<fieldset class="field">
    <legend>${declared.label}</legend>
    <div class="choices one-a-line">
      ${first.map((one) => key('named', one.value, one.label))}
      ${key('named', ELSE, phrase('Something else, see the note'))}
    </div>
    <details class="more" open=${unfolded}>
      <summary>${first.length ? phrase('All of it, by group') : phrase('By group')}</summary>
      <div class="stack close">
        ${groups(all).map(
          ([label, choices]) => html`<div key=${label} role="group" aria-label=${label}>
            <p><strong>${label}</strong></p>
            <div class="choices">${choices.map((one) => key('grouped', one.value, one.short))}</div>
          </div>`,
        )}
      </div>
    </details>
    ${problem && html`<p class="problem">${problem}</p>`}
  </fieldset>`;
}

/**
 * Everything that can be worked on, most suspect first. A part is named by the place where it sits now; connectors and wires
 * alone are mended.
 * @param {any} diagnosis @param {any} engine @param {string} work
 * @returns {Choice[]}
 */
function choicesOf(diagnosis, engine, work) {
  const told = (diagnosis?.named ? diagnosis.components : []).flatMap((/** @type {any} */ one) => {
    if (one.part && (work === 'mended' || !one.place)) return [];
    const name = plainName(one.component);
    const value = one.part ? one.place : name;
    const came = name.split('@')[1];
    const where = one.part ? String(placeParts(one.place)?.position) : came;
    const moved = one.part && where !== came ? ` ${phrase('(now at {place})', { place: where })}` : '';
    return [{ name, value, group: sentence(one.kind_label), label: sentence(one.label) + moved, short: where?.replace('-', '–') ?? sentence(one.label), whole: !where }];
  });
  if (told.length) return [...new Map(told.map((/** @type {Choice} */ one) => [one.value, one])).values()];
  // Before the core has answered: what is worked on most.
  return placesOf(engine, 'coil').map((place) => {
    const number = place.split('.')[1];
    const label = phrase('Coil connector {n}', { n: number });
    return { name: `coil_connector@${number}`, value: `coil_connector@${number}`, group: phrase('Coil connector'), label, short: number, whole: false };
  });
}

/** A component is the same one after it was mended. @param {string} name */
function plainName(name) {
  return name.split('/')[0];
}

/** By what it is, in order of its numbers; what serves the whole engine together at the end. @param {Choice[]} all @returns {[string, Choice[]][]} */
function groups(all) {
  const whole = phrase('The whole engine');
  /** @type {Map<string, Choice[]>} */
  const found = new Map();
  for (const one of [...all.filter((one) => !one.whole), ...all.filter((one) => one.whole)]) {
    const label = one.whole ? whole : one.group;
    found.set(label, [...(found.get(label) ?? []), one]);
  }
  return [...found].map(([label, choices]) => [label, choices.sort((a, b) => a.short.localeCompare(b.short, undefined, { numeric: true }))]);
}
