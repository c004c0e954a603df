/** What opens a case besides the engine: the car, and whose it is. Kept under `opened` of the form. */
import { html } from '../html.js';
import { Field } from './fields.js';
import { VinField } from './vin-field.js';

/** @param {{form: import('./form.js').Form}} props */
export function VehicleFields({ form }) {
  return html`<section class="stack">
    <h2>Vehicle</h2>
    <${Field}
      kind="case_opened"
      path="vehicle.plate"
      at="opened.vehicle.plate"
      form=${form}
      extra=${{ autocapitalize: 'characters' }}
    />
    <${VinField} form=${form} at="opened.vehicle.vin" />
    <div class="side-by-side">
      <${Field} kind="case_opened" path="vehicle.make" at="opened.vehicle.make" form=${form} />
      <${Field} kind="case_opened" path="vehicle.model" at="opened.vehicle.model" form=${form} />
      <${Field} kind="case_opened" path="vehicle.year" at="opened.vehicle.year" form=${form} />
    </div>
    <${Field} kind="case_opened" path="odometer" at="opened.odometer" form=${form} />
  </section>`;
}

/** @param {{form: import('./form.js').Form}} props */
export function CustomerFields({ form }) {
  return html`<section class="stack">
    <h2>Customer</h2>
    <div class="side-by-side">
      <${Field} kind="case_opened" path="customer.name" at="opened.customer.name" form=${form} />
      <${Field}
        kind="case_opened"
        path="customer.phone"
        at="opened.customer.phone"
        form=${form}
        extra=${{ inputmode: 'tel' }}
      />
      <${Field}
        kind="case_opened"
        path="customer.email"
        at="opened.customer.email"
        form=${form}
        extra=${{ inputmode: 'email' }}
      />
    </div>
    <${Field} kind="case_opened" path="customer.address" at="opened.customer.address" form=${form} />
  </section>`;
}
