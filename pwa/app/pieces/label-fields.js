/** Which labels are in the printer, and how fine it prints; kept on this device. */
import { changePrinter, DPI, printer, SIZES } from '../label-size.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { Select } from './select.js';

export function LabelFields() {
  const { size, dpi } = printer.value;
  return html`<div class="filters">
    <${Select}
      label="Label, width by height"
      value=${size}
      choices=${SIZES.map((one) => [one, `${one.replace('x', ' × ')} mm`])}
      onChange=${(/** @type {string} */ chosen) => changePrinter({ size: chosen })}
    />
    <${Select}
      label="Dots of the printer"
      value=${dpi}
      choices=${DPI.map((one) => [one, phrase('{one} an inch', { one })])}
      onChange=${(/** @type {string} */ chosen) => changePrinter({ dpi: chosen })}
    />
  </div>`;
}
