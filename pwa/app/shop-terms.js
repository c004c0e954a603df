/**
 * What the shop charges, from its own log (entries that bear the shop's id as their case).
 *
 * @typedef {object} Terms  shape: core/money.py
 * @property {string} currency
 * @property {number} digits
 * @property {number} labour_rate  minor units an hour
 * @property {{label: string, rate: number, on?: string[]}[]} taxes
 * @property {{kind: string, price: number}[]} parts
 * @property {Record<string, number>} prices  in whole units, as the diagnosis takes them
 * @property {number} rate
 */
import { effect, signal } from '@preact/signals';
import { ask } from '../field/core.js';
import { entriesOf, onChange } from '../field/log.js';
import { person } from './person.js';

/** null: none were set; undefined: being read. @type {import('@preact/signals').Signal<Terms | null | undefined>} */
export const terms = signal(undefined);

/** Settled once the terms that were read last are known. */
let reading = Promise.resolve();

async function readTerms() {
  const shop = person.value?.shop.id;
  if (!shop) return;
  const entries = await entriesOf(shop).catch(() => []);
  const told = entries.length ? await ask('terms', { entries }, { topic: 'terms', priority: 2 }) : { terms: null };
  if (!told.error) terms.value = told.terms;
  else if (terms.value === undefined) terms.value = null;
}

/** Once for a page. */
export function followTerms() {
  onChange(({ cases }) => {
    if (person.value && cases.includes(person.value.shop.id)) reading = readTerms();
  });
  effect(() => {
    if (person.value) reading = readTerms();
  });
}

/** Ids of the entries that say what the shop charges. @returns {Promise<string[]>} */
export async function chargedBy() {
  const shop = person.peek()?.shop.id;
  return shop ? (await entriesOf(shop)).map(({ id }) => id) : [];
}

/** What the diagnosis is told of money: nothing where the shop has set nothing, so that it counts in minutes. */
export async function moneyForDiagnosis() {
  await reading;
  const held = terms.peek();
  return held && held.rate > 0 ? { prices: held.prices, labour_rate: held.rate } : {};
}
