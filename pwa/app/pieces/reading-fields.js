/** What was read in a check, beside the finding: its fields, the maker's range, and the finding it comes to. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { field } from '../declared.js';
import { html } from '../html.js';
import { caseEntries, caseView } from '../open-case.js';
import { phrase } from '../tongue.js';
import { ChoiceField, Field } from './fields.js';
import { QuantityField } from './number-fields.js';

/** Fields of what a reading is held against: the same for every cylinder of a round. */
export const RANGE = ['limits', 'specification', 'temperature'];

/** Fields that say nothing by themselves. */
const BESIDE = ['bank', 'rpm_before'];

/**
 * A form over plain values, such as a round keeps.
 * @param {Record<string, any>} values
 * @param {(path: string, value: any) => void} onChange
 * @param {import('../../field/kinds.js').Problem[]} [problems]
 */
export function formOver(values, onChange, problems = []) {
  return /** @type {import('./form.js').Form} */ (
    /** @type {unknown} */ ({
      get: (/** @type {string} */ path) => values[path],
      set: onChange,
      problemAt: (/** @type {string} */ path) => problems.find((problem) => problem.field === path)?.message ?? '',
    })
  );
}

/** @param {{check: import('../declared.js').Check, form: import('./form.js').Form}} props */
export function ReadingFields({ check, form }) {
  const range = check.fields.filter((name) => RANGE.includes(name));
  const oneBank = (caseView.value?.engine?.banks ?? []).length < 2;
  const read = check.fields.filter((name) => !RANGE.includes(name) && !(name === 'bank' && oneBank));
  const asFields = (/** @type {string[]} */ names) =>
    names.map((name) =>
      name === 'reading'
        ? html`<${QuantityField}
            key=${name}
            field=${field('check', name)}
            dimension=${check.dimension}
            begins=${check.begins}
            path=${name}
            form=${form}
          />`
        : html`<${Field} key=${name} kind="check" path=${name} form=${form} />`,
    );
  if (!check.fields.length) return null;
  return html`<div class=${read.length > 1 ? 'side-by-side' : ''}>${asFields(read)}</div>
    ${
      range.length > 0 &&
      html`<details class="more" open=${range.some((name) => form.get(name) !== undefined)}>
      <summary>${range.includes('temperature') ? phrase('Maker\'s range and temperature') : phrase('Maker\'s range')}</summary>
      <div class="stack close">${asFields(range)}</div>
    </details>`
    }`;
}

/** The conditions that the finding of a check depends on. @param {{check: import('../declared.js').Check, form: import('./form.js').Form}} props */
export function ConditionsField({ check, form }) {
  if (!check.conditions.length) return null;
  const declared = field('check', 'conditions');
  const choices = declared.choices?.filter((one) => check.conditions.includes(one.value));
  return html`<${ChoiceField} field=${{ ...declared, choices }} path="conditions" form=${form} />`;
}

/**
 * The finding that a reading comes to, and the key that keeps the reading without a finding of one's own.
 * @param {object} props
 * @param {import('../declared.js').Check} props.check
 * @param {Record<string, any>} props.body  what would be recorded, without a finding
 * @param {boolean} [props.busy]
 * @param {(key: HTMLElement) => void} props.onKeep
 */
export function KeepReading({ check, body, busy, onKeep }) {
  const [told, setTold] = useState(/** @type {{finding: string | null, text: string} | null} */ (null));
  const asked = JSON.stringify(body);
  useEffect(() => {
    let gone = false;
    const entries = caseEntries.peek();
    if (entries)
      void ask('grade', { entries, body }, { topic: 'grade', priority: 3 }).then((answer) => {
        if (!gone && !answer.error) setTold(/** @type {any} */ (answer));
      });
    return () => {
      gone = true;
    };
  }, [asked]);
  // How much goes says not where: that is for the ear, and the findings below ask for it.
  const unheard = check.key === 'leak_down' && told?.finding === 'high';
  const label = check.findings.find((one) => one.value === told?.finding)?.label;
  return html`<div class="stack close">
    ${told?.text && html`<p class="soft" role="status">${told.text}</p>`}
    ${
      unheard
        ? html`<p>${phrase('Listen where the air goes, then tap it below.')}</p>`
        : html`<button type="button" class="key" disabled=${busy} onClick=${(/** @type {any} */ event) => onKeep(event.currentTarget)}>
      ${label ? phrase('Keep the reading: {label}', { label }) : phrase('Keep the reading alone')}
    </button>`
    }
  </div>`;
}

/** The part of a body that was read, without what was left empty. @param {Record<string, any>} values */
export function readingOf(values) {
  return Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined && value !== ''));
}

/**
 * Whether anything was read: the range alone, or the speed before, is no reading.
 * @param {import('../declared.js').Check} check
 * @param {Record<string, any>} values
 */
export function hasReading(check, values) {
  return check.fields.some((name) => !RANGE.includes(name) && !BESIDE.includes(name) && values[name] !== undefined && values[name] !== '');
}
