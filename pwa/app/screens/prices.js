/** What the shop charges: kept as entries of its own log, so that every phone has it without a connection. */
import { useState } from 'preact/hooks';
import { field } from '../declared.js';
import { html } from '../html.js';
import { person } from '../person.js';
import { Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { MoneyField } from '../pieces/money-field.js';
import { Notice } from '../pieces/notice.js';
import { Screen } from '../pieces/screen.js';
import { TaxFields } from '../pieces/tax-fields.js';
import { isOneOf } from '../roles.js';
import { goInstead, to } from '../route.js';
import { save } from '../saving.js';
import { terms } from '../shop-terms.js';
import { phrase } from '../tongue.js';

export function Prices() {
  const shop = person.value?.shop;
  if (terms.value === undefined || !shop)
    return html`<${Screen} title="Prices and taxes" back=${to('settings')}><p class="soft" aria-busy="true">Reading the prices</p><//>`;
  if (!isOneOf('owner', 'desk'))
    return html`<${Screen} title="Prices and taxes" back=${to('settings')}>
      <${Notice} tone="warn" title="The owner or the desk sets these"><p>Only the owner or the desk may set what the shop charges: ask them to set it on their phone; it comes to this one by itself.</p><//>
    <//>`;
  return html`<${PricesForm} shop=${shop.id} held=${terms.value} />`;
}

/** @param {{shop: string, held: import('../shop-terms.js').Terms | null}} props */
function PricesForm({ shop, held }) {
  const [busy, setBusy] = useState(false);
  const form = useForm('form/prices', () => ({
    currency: held?.currency,
    labour_rate: held?.labour_rate,
    part: Object.fromEntries((held?.parts ?? []).map(({ kind, price }) => [kind, price])),
    taxes: held?.taxes ?? [],
  }));
  const kinds = field('prices_set', 'parts.kind').choices ?? [];
  const { currency } = form.values;
  const keep = async () => {
    setBusy(true);
    const { part = {}, ...values } = form.values;
    const priced = kinds.filter(({ value }) => part[value] !== undefined);
    const parts = priced.map(({ value }) => ({ kind: value, price: part[value] }));
    const { entries, problems } = await save({ case: shop, kind: 'prices_set', body: { ...values, parts } }, phrase('Prices kept'));
    setBusy(false);
    // A price's field is named by its kind here, and by its place in the list there.
    const named = problems.map((problem) => ({
      ...problem,
      field: problem.field.replace(/^parts\.(\d+)\.price$/, (_, at) => `part.${parts[Number(at)].kind}`),
    }));
    if (!entries.length) return form.refuse(named);
    await form.done();
    goInstead(to('settings'));
  };
  const keys = html`<button type="button" class="key main wide tall" aria-busy=${busy} disabled=${busy} onClick=${() => void keep()}>Keep these prices</button>`;
  return html`<${Screen} title="Prices and taxes" back=${to('settings')} keys=${form.ready && keys}>
    ${
      form.ready &&
      html`<div class="stack">
      <p>Estimates and bills start from these, and the choice between one part and the set is shown in money. What was priced before stays as it was.</p>
      <${Field} kind="prices_set" path="currency" form=${form} extra=${{ autocapitalize: 'characters', maxlength: 3 }} />
      <${MoneyField} label="Labor, an hour" path="labour_rate" form=${form} currency=${currency} />
      <section class="stack close" aria-label="Usual prices of parts">
        <h2>Usual prices of parts</h2>
        <div class="side-by-side">
          ${kinds.map(({ value, label }) => html`<${MoneyField} key=${value} label=${label} path=${`part.${value}`} form=${form} currency=${currency} />`)}
        </div>
      </section>
      <${TaxFields} form=${form} />
      <p class="soft">Each line is rounded to the smallest coin by itself, halves upward; a tax is taken on the sum of its lines and rounded once.</p>
    </div>`
    }
  <//>`;
}
