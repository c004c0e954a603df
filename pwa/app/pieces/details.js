/** The fields of an entry with their declared labels. */
import { kindOf } from '../declared.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { asTyped, quantityWords } from '../units.js';
import { dateWords } from '../words.js';

/** Ids, sizes and raw text; and what the entry's own line of words says already. */
const NOT_FOR_EYES = [
  'sha256',
  'signature',
  'round',
  'part',
  'installed',
  'removed',
  'entry',
  'of',
  'probabilities',
  'bytes',
  'width',
  'height',
  'raw',
  'question',
  'lines',
  'taxes',
  'check',
  'finding',
  'place',
  'moves',
];

/** @param {{kind: string, body: Record<string, any>, told?: Record<string, string>}} props  `told`: fields that the core puts in words */
export function Details({ kind, body, told = {} }) {
  const rows = rowsOf(fieldsOf(kind), body, told);
  if (!rows.length) return null;
  return html`<dl class="details">
    ${rows.map((row) => html`<div key=${row.label}><dt>${row.label}</dt><dd>${row.value}</dd></div>`)}
  </dl>`;
}

/** @param {string} kind @returns {import('../declared.js').Field[]} */
function fieldsOf(kind) {
  try {
    return kindOf(kind).fields;
  } catch {
    return []; // recorded by a newer version
  }
}

/**
 * @param {import('../declared.js').Field[]} fields
 * @param {Record<string, any>} body
 * @param {Record<string, string>} told
 * @returns {{label: string, value: string}[]}
 */
function rowsOf(fields, body, told = {}) {
  return fields.flatMap((field) => {
    const value = body[field.name ?? ''];
    if (value === undefined || value === null || NOT_FOR_EYES.includes(field.name ?? '')) return [];
    if (field.type === 'group') return rowsOf(field.fields ?? [], value);
    const words = told[field.name ?? ''] ?? wordsOf(field, value);
    return words ? [{ label: field.label, value: words }] : [];
  });
}

/** @param {import('../declared.js').Field} field @param {any} value @returns {string} */
function wordsOf(field, value) {
  switch (field.type) {
    case 'choice':
      return field.choices?.find((choice) => choice.value === value)?.label ?? String(value);
    case 'choices':
      return value
        .map((/** @type {string} */ one) => field.choices?.find((choice) => choice.value === one)?.label ?? one)
        .join(', ');
    case 'quantity':
      return quantityWords(value) === asTyped(value) ? asTyped(value) : phrase('{shown}, typed as {typed}', { shown: quantityWords(value), typed: asTyped(value) });
    case 'date':
      return dateWords(value);
    case 'flag':
      return value ? phrase('yes') : phrase('no');
    case 'list':
      return value
        .map((/** @type {any} */ one) => (typeof one === 'object' ? inOneLine(field.of?.fields ?? [], one) : one))
        .join(', ');
    case 'group':
    case 'data':
      return '';
    default:
      return `${value}${field.unit ? ` ${field.unit}` : ''}`;
  }
}

/** @param {import('../declared.js').Field[]} fields @param {Record<string, any>} values */
function inOneLine(fields, values) {
  return fields
    .filter(({ name }) => values[name ?? ''] !== undefined)
    .map((field) => {
      const words = wordsOf(field, values[field.name ?? '']);
      return field.type === 'choice' ? words.toLowerCase() : words;
    })
    .join(' ');
}
