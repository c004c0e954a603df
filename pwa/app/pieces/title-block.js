/** The title block of a case: the car, whose it is, what is complained of. Ruled like the corner of a drawing. */
import { labelOf } from '../declared.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { quantityWords } from '../units.js';
import { sentence } from '../words.js';
import { Notice } from './notice.js';

/** @param {{view: import('../open-case.js').Told}} props */
export function TitleBlock({ view }) {
  const { vehicle, customer, complaint } = view;
  const cells = [
    vehicle.plate && { label: phrase('Plate'), value: html`<span class="figures">${vehicle.plate}</span>` },
    vehicle.engine_name && { label: phrase('Engine'), value: vehicle.engine_name },
    vehicle.vin && { label: 'VIN', value: html`<span class="figures">${vehicle.vin}</span>` },
    view.odometer && { label: phrase('Odometer'), value: quantityWords(view.odometer) },
    customer.name && { label: phrase('Customer'), value: customer.name },
    customer.phone && {
      label: phrase('Phone'),
      value: html`<a href=${`tel:${customer.phone.replace(/[^\d+]/g, '')}`}>${customer.phone}</a>`,
    },
  ].filter(Boolean);
  return html`<div class="stack close">
    ${
      cells.length > 0 &&
      html`<dl class="title-block">
      ${cells.map(
        (cell) => html`<div key=${cell.label}>
        <dt class="unseen">${cell.label}</dt><dd>${cell.value}</dd>
      </div>`,
      )}
    </dl>`
    }
    ${complaint && html`<p class="hand">${complaintWords(complaint)}</p>`}
    ${
      complaint?.lamp === 'flashing' &&
      !view.repairs.length &&
      html`<${Notice}
      tone="trouble"
      title="The lamp flashes: do not drive"
    />`
    }
    ${
      complaint?.lamp === 'flashed' &&
      !view.repairs.length &&
      html`<${Notice}
      tone="warn"
      title="The lamp has flashed: do not drive on, the catalyst may have suffered"
    />`
    }
  </div>`;
}

/** @param {any} complaint */
function complaintWords(complaint) {
  const symptoms = sentence(
    (complaint.symptoms ?? []).map((/** @type {string} */ one) => labelOf('complaint', 'symptoms', one).toLowerCase()).join(', '),
  );
  const when = (complaint.circumstances ?? []).map((/** @type {string} */ one) =>
    labelOf('complaint', 'circumstances', one).toLowerCase(),
  );
  const lamp =
    complaint.lamp && complaint.lamp !== 'flashing'
      ? phrase('lamp {state}', { state: labelOf('complaint', 'lamp', complaint.lamp).toLowerCase() })
      : '';
  const told = [symptoms, when.join(', '), lamp].filter(Boolean).join('; ');
  return html`${told}${complaint.words && html`${told ? '. ' : ''}“${complaint.words}”`}`;
}
