/** The owner agrees to the estimate on this phone, with or without a connection: what, up to how much, how, who. */
import { useRef } from 'preact/hooks';
import { takeIn } from '../../field/photos.js';
import { digitsOf } from '../declared.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { RecordScreen } from '../pieces/record-screen.js';
import { drawnOn, SignaturePad } from '../pieces/signature-pad.js';
import { Sums, useTotals } from '../pieces/sums.js';
import { to } from '../route.js';
import { terms } from '../shop-terms.js';
import { phrase } from '../tongue.js';

/** @param {{id: string}} props */
export function Agree({ id }) {
  const view = openCase.value?.view;
  if (!view) return html`<${CaseScreen} id=${id} title="Agreement" needsView=${true} />`;
  const struck = new Set(view.timeline.filter((/** @type {any} */ row) => row.struck).map((/** @type {any} */ row) => row.id));
  const estimate = openCase.value?.entries?.findLast(
    (entry) => entry.kind === 'priced' && entry.body.stage === 'estimate' && !struck.has(entry.id),
  );
  return html`<${AgreeForm} id=${id} estimate=${estimate ?? null} customer=${view.customer?.name ?? ''} />`;
}

/** @param {{id: string, estimate: import('../../field/log.js').Entry | null, customer: string}} props */
function AgreeForm({ id, estimate, customer }) {
  const pad = useRef({ drawn: false, canvas: /** @type {HTMLCanvasElement | null} */ (null) });
  const totals = useTotals(openCase.value?.entries ?? [], estimate?.body ?? null);
  const currency = estimate?.body.currency ?? terms.value?.currency;
  const form = useForm(`form/${id}/agree`, () => ({
    how: 'signed',
    name: customer || undefined,
    what: estimate?.body.lines.map((/** @type {any} */ line) => line.text).join(', '),
  }));
  const limit = form.values.limit ?? (totals ? totals.total / 10 ** digitsOf(currency) : undefined);
  const shown = { ...form, get: (/** @type {string} */ path) => (path === 'limit' ? limit : form.get(path)) };
  const toBody = async (/** @type {Record<string, any>} */ values) => {
    const body = { ...values, ...(limit === undefined ? {} : { limit }), ...(currency ? { currency } : {}), ...(estimate ? { of: estimate.id } : {}) };
    if (values.how !== 'signed') return body;
    if (!pad.current.drawn || !pad.current.canvas) {
      const message = phrase('Signature: let the owner sign with a finger, or choose how else they agreed.');
      form.refuse([{ field: 'signature', message }]);
      return null;
    }
    try {
      return { ...body, signature: (await takeIn(await drawnOn(pad.current.canvas))).sha256 };
    } catch (trouble) {
      form.refuse([{ field: 'signature', message: /** @type {Error} */ (trouble).message }]);
      return null;
    }
  };
  return html`<${RecordScreen}
    id=${id}
    title="Agreement"
    kind="agreed"
    form=${form}
    toBody=${toBody}
    words="Agreed"
    saved="Agreed, and kept on this device"
  >
    ${!estimate && html`<p>There is no estimate yet: say in words what is agreed, or <a href=${to('case', id, 'estimate')}>make one first</a>.</p>`}
    <${Sums} totals=${totals} />
    <${Field} kind="agreed" path="what" form=${form} />
    <${Field} kind="agreed" path="limit" form=${shown} label=${currency ? phrase('Up to ({currency})', { currency }) : phrase('Up to')} />
    <${Field} kind="agreed" path="name" form=${form} />
    <${Field} kind="agreed" path="how" form=${form} />
    ${form.values.how === 'signed' && html`<${SignaturePad} pad=${pad} problem=${form.problemAt('signature')} />`}
  <//>`;
}
