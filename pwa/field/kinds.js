/**
 * The kinds of entry as declared once by the core (`/kinds.json`), and the check of a body against them.
 *
 * @typedef {object} Field
 * @property {string} [name]
 * @property {'text'|'choice'|'choices'|'integer'|'number'|'flag'|'date'|'quantity'|'group'|'list'|'data'} type
 * @property {string} label
 * @property {string} [help]
 * @property {boolean} [required]
 * @property {boolean} [personal]
 * @property {boolean} [lines]
 * @property {boolean} [past]
 * @property {number} [max]
 * @property {number} [min]
 * @property {string} [pattern]
 * @property {string} [hint]  what to type where the pattern does not match
 * @property {number} [years_ahead]  a year: no more than so many after this one
 * @property {string} [unit]
 * @property {string} [dimension]
 * @property {string} [permutation_of]
 * @property {{value: string, label: string}[]} [choices]
 * @property {Field} [of]
 * @property {Field[]} [fields]
 *
 * @typedef {{kind: string, label: string, help: string, fields: Field[]}} Kind
 *
 * @typedef {object} Check  a check a mechanic can make; see core/checks.py
 * @property {string} key
 * @property {string} label
 * @property {string} about
 * @property {{value: string, label: string, means: string}[]} findings  means: what it speaks for, in a sentence
 * @property {number} minutes
 * @property {string} needs
 * @property {string[]} how
 * @property {string} caution
 * @property {string[]} ignitions  arrangements that have what it looks at; empty: all
 * @property {{value: string, caution: string}[]} ways  the caution of each way to disable the cylinder
 * @property {boolean} round
 * @property {string[]} well  of a round: findings with which a cylinder does not stand out
 * @property {string} dimension
 * @property {string} begins  the unit that the field of its reading begins with; empty: the usual one
 * @property {string[]} fields  fields of the entry that take what was read
 * @property {string[]} conditions  to be asked for, since the finding depends on them
 *
 * @typedef {{kinds: Kind[], checks: Check[], tools: {value: string, label: string}[], units: any, begins: {dimension: string, unit: string, regions: string[]}[], currency_digits: Record<string, number>, body_limit: number}} Declaration
 *
 * @typedef {{field: string, message: string}} Problem  `field` is a path: "vehicle.plate", "codes.0.code"
 */
import { declaredIn } from './tongue.js';
import { phrase } from './tongue.js';

/** @type {Promise<Declaration> | null} */
let loading = null;

/** @type {Declaration | null} */
let declared = null;

/**
 * The declaration, fetched once.
 * @returns {Promise<Declaration>}
 */
export function declaration() {
  loading ??= load().catch((error) => {
    loading = null;
    throw error;
  });
  return loading;
}

async function load() {
  const answer = await fetch('/kinds.json').catch(() => null);
  if (!answer?.ok) throw new Error(phrase('The forms could not be loaded. Open the application once with a connection.'));
  declared = /** @type {Declaration} */ (declaredIn(await answer.json()));
  return declared;
}

/**
 * Check a body against the field types of its kind; fields not declared are kept and not judged. Call it after
 * `declaration()` has resolved. The shop's own check (store/fields.py) gives the same verdicts, but for years that are only
 * judged where they are typed: what a phone recorded before stays good.
 * @param {string} kind
 * @param {Record<string, any>} body
 * @returns {Problem[]} empty when it is good
 */
export function checkBody(kind, body) {
  if (!declared) throw new Error('checkBody needs declaration() to have been awaited.');
  const known = declared.kinds.find((one) => one.kind === kind);
  if (!known) return [{ field: 'kind', message: phrase('This release does not know the kind "{kind}". Load the newest release.', { kind }) }];
  if (!isObject(body)) return [{ field: 'body', message: phrase('Body: give the fields as an object.') }];
  const problems = fieldProblems(known.fields, body, '');
  return problems.length ? problems : sizeProblems(body, declared.body_limit);
}

/**
 * @param {Record<string, any>} body
 * @param {number} limit  bytes
 * @returns {Problem[]}
 */
function sizeProblems(body, limit) {
  const size = new TextEncoder().encode(JSON.stringify(body)).length;
  const message = phrase('This entry has {size} bytes; at most {limit} fit. Shorten its text or split it in two.', { size, limit });
  return size > limit ? [{ field: 'body', message }] : [];
}

/**
 * @param {Field[]} fields
 * @param {Record<string, any>} values
 * @param {string} path
 * @returns {Problem[]}
 */
function fieldProblems(fields, values, path) {
  return fields.flatMap((field) => {
    const value = values[/** @type {string} */ (field.name)];
    const at = path + field.name;
    if (value === undefined) return field.required ? [problem(at, field, phrase('fill this in'))] : [];
    return valueProblems(field, value, at, values);
  });
}

/**
 * @param {Field} field
 * @param {any} value  not undefined
 * @param {string} path
 * @param {Record<string, any>} siblings
 * @returns {Problem[]}
 */
function valueProblems(field, value, path, siblings) {
  if (value === null) return [problem(path, field, phrase('fill this in, or leave it out'))];
  if (field.type === 'group') {
    if (!isObject(value)) return [problem(path, field, phrase('give the fields as an object'))];
    return fieldProblems(field.fields ?? [], value, `${path}.`);
  }
  if (field.type === 'list') return listProblems(field, value, path, siblings);
  const message = CHECKS[field.type]?.(field, value);
  return message ? [problem(path, field, message)] : [];
}

/**
 * @param {Field} field
 * @param {any} value
 * @param {string} path
 * @param {Record<string, any>} siblings
 * @returns {Problem[]}
 */
function listProblems(field, value, path, siblings) {
  if (!Array.isArray(value)) return [problem(path, field, phrase('give a list'))];
  if (value.length > (field.max ?? Infinity)) return [problem(path, field, phrase('at most {max}; this has {length}', { max: field.max, length: value.length }))];
  const of = /** @type {Field} */ (field.of);
  const problems = value.flatMap((item, index) =>
    item === undefined
      ? [problem(`${path}.${index}`, of, phrase('fill this in'))]
      : valueProblems(of, item, `${path}.${index}`, {}),
  );
  const upTo = field.permutation_of && siblings[field.permutation_of];
  if (!problems.length && value.length && Number.isInteger(upTo) && !isPermutation(value, upTo)) {
    problems.push(problem(path, field, phrase('name each of 1 to {upTo} once', { upTo })));
  }
  return problems;
}

/**
 * One check a type: what is wrong with the value, in words, or null.
 * @type {Record<string, (field: Field, value: any) => string | null>}
 */
const CHECKS = {
  text(field, value) {
    if (typeof value !== 'string') return phrase('write it as text');
    if (field.required && !value.trim()) return phrase('fill this in');
    const length = characters(value);
    if (length > (field.max ?? Infinity)) {
      return field.lines
        ? phrase('at most {max} characters; this has {length}. Shorten it or add a second entry', { max: field.max, length })
        : phrase('at most {max} characters; this has {size}', { max: field.max, size: length });
    }
    if (BROKEN_TEXT.test(value)) return phrase('it holds a character that cannot be shown; type it anew');
    if (field.pattern && !new RegExp(`^(?:${field.pattern})$`, 'u').test(value)) {
      return field.hint ?? phrase('it does not have the form {pattern}', { pattern: field.pattern });
    }
    return null;
  },
  choice: (field, value) => (valuesOf(field).includes(value) ? null : choose(field)),
  choices(field, value) {
    if (!Array.isArray(value)) return phrase('give a list');
    if (value.some((one) => !valuesOf(field).includes(one))) return choose(field);
    return new Set(value).size === value.length ? null : phrase('name each only once');
  },
  integer: (field, value) => (Number.isInteger(value) && inRange(field, value) ? null : give(phrase('a whole number'), field)),
  number: (field, value) => (Number.isFinite(value) && inRange(field, value) ? null : give(phrase('a number'), field)),
  flag: (field, value) => (typeof value === 'boolean' ? null : phrase('say true or false')),
  date(field, value) {
    if (!isDate(value)) return phrase('give a date like 2026-03-31');
    // The furthest time zone is 14 hours ahead of UTC: there it may already be tomorrow.
    const latest = new Date(Date.now() + 14 * 3600 * 1000).toISOString().slice(0, 10);
    return field.past && value > latest ? phrase('{value} is in the future; give today or an earlier day', { value }) : null;
  },
  quantity(field, value) {
    if (!isObject(value) || ['si', 'typed', 'unit'].some((key) => !(key in value))) {
      return phrase('give the value, what was typed, and its unit');
    }
    const units = declared?.units[field.dimension ?? 'any'].map((/** @type {{unit: string}} */ row) => row.unit);
    if (!units.includes(value.unit)) return phrase('choose a unit from: {units}', { units: units.join(', ') });
    if (typeof value.typed !== 'string' || characters(value.typed) > 40 || BROKEN_TEXT.test(value.typed)) {
      return phrase('what was typed must be a text of at most 40 characters');
    }
    return Number.isFinite(value.si) && Math.abs(value.si) <= LARGEST_SI ? null : phrase('give a number');
  },
  data(field, value) {
    const size = characters(JSON.stringify(value));
    return size > (field.max ?? Infinity) ? phrase('at most {max} characters; this has {size}', { max: field.max, size }) : null;
  },
};

const BROKEN_TEXT = /[\0\ud800-\udfff]/u; // NUL and half characters, which no keyboard gives

/** A text from a file or another application as an entry can hold it. @param {string} text */
export function withoutBroken(text) {
  return text.replace(new RegExp(BROKEN_TEXT, 'gu'), '\ufffd');
}

const LARGEST_SI = 1e15;

/** @param {string} path @param {Field} field @param {string} message @returns {Problem} */
function problem(path, field, message) {
  return { field: path, message: `${field.label || field.name || phrase('Value')}: ${message}.` };
}

/** @param {any} value */
function isObject(value) {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** As the shop counts: characters, not UTF-16 halves. @param {string} text */
function characters(text) {
  return [...text].length;
}

/** @param {Field} field */
function valuesOf(field) {
  return (field.choices ?? []).map((choice) => choice.value);
}

/** @param {Field} field */
function choose(field) {
  return phrase('choose from: {choices}', { choices: (field.choices ?? []).map((choice) => choice.label).join(', ') });
}

/** @param {Field} field @param {number} value */
function inRange(field, value) {
  return value >= (field.min ?? -Infinity) && value <= most(field);
}

/** The most that may be typed, of a year by this phone's calendar. @param {Field} field */
function most({ max = Infinity, years_ahead: ahead }) {
  return ahead === undefined ? max : Math.min(max, new Date().getFullYear() + ahead);
}

/** @param {string} what @param {Field} field */
function give(what, field) {
  const limits = field.min === undefined || field.max === undefined ? '' : phrase(' from {min} to {max}', { min: field.min, max: most(field) });
  return phrase('give {what}{limits}{unit}', { what, limits, unit: field.unit ? `\u00a0${field.unit}` : '' });
}

/** @param {any} value  whether it names a day that exists */
function isDate(value) {
  if (typeof value !== 'string' || !/^[0-9]{4}-[0-9]{2}-[0-9]{2}$/.test(value) || value < '0001') return false;
  const day = new Date(`${value}T00:00:00Z`);
  return !Number.isNaN(day.getTime()) && day.toISOString().slice(0, 10) === value;
}

/** @param {number[]} list @param {number} upTo */
function isPermutation(list, upTo) {
  return list.length === upTo && new Set(list).size === upTo && list.every((one) => one >= 1 && one <= upTo);
}
