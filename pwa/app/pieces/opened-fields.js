/** What opens a case besides the engine: the car, and whose it is. Kept under `opened` of the form. */
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { Field } from './fields.js';
import { VinField } from './vin-field.js';

/** @typedef {import('./form.js').Form} Form */

/** What tells one car from another: any of these is enough. */
const NAMES = ['plate', 'vin', 'make', 'model'];

/** Whether the car of a form can be told from others. @param {Form} form */
export function isNamed(form) {
  return NAMES.some((name) => form.get(`opened.vehicle.${name}`)?.trim());
}

/** What opens a case as it is recorded: the plate in capitals, as cars bear it and its field shows it. @param {Record<string, any>} opened */
export function asRecorded(opened) {
  const { vehicle } = opened;
  return vehicle?.plate ? { ...opened, vehicle: { ...vehicle, plate: vehicle.plate.toUpperCase() } } : opened;
}

/** The least that is said of a car and its owner; the VIN has a line of its own, that all of it is seen. @param {{form: Form}} props */
export function VehicleInShort({ form }) {
  return html`
    <div class="in-a-row">
      <${PlateMakeModel} form=${form} />
      <${Field} kind="case_opened" path="customer.name" at="opened.customer.name" form=${form} label=${phrase('Customer\'s name')} />
    </div>
    <${VinField} form=${form} at="opened.vehicle.vin" help="" />
  `;
}

/** @param {{form: Form}} props */
function PlateMakeModel({ form }) {
  return html`
    <${Field}
      kind="case_opened"
      path="vehicle.plate"
      at="opened.vehicle.plate"
      form=${form}
      extra=${{ autocapitalize: 'characters', class: 'capitals' }}
    />
    <${Field} kind="case_opened" path="vehicle.make" at="opened.vehicle.make" form=${form} />
    <${Field} kind="case_opened" path="vehicle.model" at="opened.vehicle.model" form=${form} />
  `;
}

/** @param {{form: Form}} props */
export function VehicleRest({ form }) {
  return html`
    <${Field} kind="case_opened" path="vehicle.year" at="opened.vehicle.year" form=${form} />
    <${Field} kind="case_opened" path="odometer" at="opened.odometer" form=${form} />
    <${Field} kind="case_opened" path="vehicle.engine_name" at="opened.vehicle.engine_name" form=${form} />
  `;
}

/** @param {{form: Form}} props */
export function VehicleFields({ form }) {
  return html`<section class="stack">
    <h2>Vehicle</h2>
    <div class="in-a-row"><${PlateMakeModel} form=${form} /></div>
    <${VinField} form=${form} at="opened.vehicle.vin" />
    <${VehicleRest} form=${form} />
  </section>`;
}

/** @param {{form: Form}} props */
export function CustomerFields({ form }) {
  return html`<section class="stack">
    <h2>Customer</h2>
    <${Field} kind="case_opened" path="customer.name" at="opened.customer.name" form=${form} />
    <${CustomerReach} form=${form} />
  </section>`;
}

/** Where the customer is reached. @param {{form: Form}} props */
export function CustomerReach({ form }) {
  return html`
    <div class="side-by-side">
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
    <${Field} kind="case_opened" path="customer.language" at="opened.customer.language" form=${form} />
  `;
}
