/** The estimate before the work, or the bill after it: lines, the shop's taxes, and the sums. */
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { Notice } from '../pieces/notice.js';
import { PriceLines } from '../pieces/price-lines.js';
import { RecordScreen } from '../pieces/record-screen.js';
import { Sums, useTotals } from '../pieces/sums.js';
import { to } from '../route.js';
import { terms } from '../shop-terms.js';
import { phrase } from '../tongue.js';
import { partKind, sentence } from '../words.js';

/** @param {{id: string}} props */
export function Estimate({ id }) {
  return html`<${Priced} id=${id} stage="estimate" title="Estimate" next=${to('case', id, 'agree')} words="Keep the estimate" />`;
}

/** @param {{id: string}} props */
export function Bill({ id }) {
  return html`<${Priced} id=${id} stage="bill" title="Bill" next=${to('case', id, 'report')} words="Keep the bill" />`;
}

/** @param {{id: string, stage: 'estimate' | 'bill', title: string, next: string, words: string}} props */
function Priced(props) {
  const open = openCase.value;
  if (terms.value === undefined || !open?.view)
    return html`<${CaseScreen} id=${props.id} title=${props.title} needsView=${true}>
      <p class="soft" aria-busy="true">Reading the prices</p>
    <//>`;
  if (!terms.value)
    return html`<${CaseScreen} id=${props.id} title=${props.title}>
      <${Notice} tone="warn" title="The shop has set no prices yet">
        <p>Set the currency, the hour and the taxes once; then estimates and bills are worked out from them.</p>
        <a class="key" href=${to('prices')}>Prices and taxes</a>
      <//>
    <//>`;
  return html`<${PricedForm} ...${props} charged=${terms.value} />`;
}

/** @param {{id: string, stage: string, title: string, next: string, words: string, charged: import('../shop-terms.js').Terms}} props */
function PricedForm({ id, stage, title, next, words, charged }) {
  const entries = openCase.value?.entries ?? [];
  const form = useForm(`form/${id}/${stage}`, () => ({ lines: firstLines(stage, entries, charged) }));
  const { currency, taxes } = charged;
  const toBody = (/** @type {Record<string, any>} */ values) => ({
    ...values,
    lines: values.lines ?? [],
    stage,
    currency,
    ...(taxes.length ? { taxes } : {}),
  });
  const whole = (form.values.lines ?? []).filter(
    (/** @type {any} */ line) => line.text && Number.isInteger(line.price) && typeof (line.quantity ?? 1) === 'number',
  );
  const totals = useTotals(entries, form.ready ? toBody({ lines: whole }) : null);
  return html`<${RecordScreen}
    id=${id}
    title=${title}
    kind="priced"
    form=${form}
    toBody=${toBody}
    words=${words}
    next=${next}
  >
    <${PriceLines} form=${form} currency=${currency} rate=${charged.labour_rate} />
    <${Sums} totals=${totals} />
    <${Field} kind="priced" path="note" form=${form} />
  <//>`;
}

/**
 * What there is to start from: the estimate, for a bill; else an hour, and the parts fitted or suspected.
 * @param {string} stage
 * @param {import('../../field/log.js').Entry[]} entries
 * @param {import('../shop-terms.js').Terms} charged
 */
function firstLines(stage, entries, charged) {
  const view = openCase.value?.view;
  const struck = new Set(view?.timeline.filter((/** @type {any} */ row) => row.struck).map((/** @type {any} */ row) => row.id));
  const standing = entries.filter((entry) => !struck.has(entry.id));
  const before = standing.findLast((entry) => entry.kind === 'priced' && (stage === 'bill' || entry.body.stage === stage));
  if (before) return before.body.lines;
  const fitted = standing
    .filter((entry) => entry.kind === 'repair' && entry.body.work === 'replaced' && entry.body.place)
    .map(({ body }) => partLine(body.place.split('.')[0], [body.brand, body.part_number], charged));
  const suspect = openCase.value?.diagnosis?.explanations?.[0]?.faults?.[0]?.component?.split('@')[0];
  const parts = fitted.length ? fitted : charged.parts.some(({ kind }) => kind === suspect) ? [partLine(suspect, [], charged)] : [];
  return [{ sort: 'labour', text: phrase('Finding and mending the misfire'), quantity: 1, price: charged.labour_rate }, ...parts];
}

/** @param {string} kind @param {(string | undefined)[]} named @param {import('../shop-terms.js').Terms} charged */
function partLine(kind, named, charged) {
  const price = charged.parts.find((part) => part.kind === kind)?.price;
  const text = [sentence(partKind(kind)), named.filter(Boolean).join(' ')].filter(Boolean).join(', ');
  return { sort: 'part', text, quantity: 1, ...(price === undefined ? {} : { price }) };
}
