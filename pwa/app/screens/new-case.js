/** A new case: the least that starts one, told in a minute; what can wait is folded, and can be added later from the case. */
import { useEffect, useState } from 'preact/hooks';
import { newCaseId } from '../../field/log.js';
import { html } from '../html.js';
import { held, photoBody, saveMarks } from '../photo-entries.js';
import { ComplaintInShort, ComplaintRest } from '../pieces/complaint-fields.js';
import { EngineFields } from '../pieces/engine-fields.js';
import { Fold } from '../pieces/fold.js';
import { useForm } from '../pieces/form.js';
import { asRecorded, CustomerReach, isNamed, VehicleInShort, VehicleRest } from '../pieces/opened-fields.js';
import { HeldPhotos } from '../pieces/held-photos.js';
import { KnownVehicle } from '../pieces/known-vehicle.js';
import { PhotoButton } from '../pieces/photo-button.js';
import { Screen } from '../pieces/screen.js';
import { goInstead, to } from '../route.js';
import { saveAll } from '../saving.js';
import { learn, tableForNewCase } from '../shop-learned.js';
import { phrase } from '../tongue.js';
import { asTyped } from '../units.js';

const DRAFT = 'form/new-case';

/** The engine met most often stands there to begin with. */
const atFirst = () => ({
  case: newCaseId(),
  opened: { engine: { cylinders: 4, layout: 'inline', ignition: 'coil_on_plug', orientation: 'crosswise' } },
});

export function NewCase() {
  const form = useForm(DRAFT, atFirst);
  const [busy, setBusy] = useState(false);
  const { values } = form;
  const { photos = [] } = values;
  const { vehicle: car = {}, customer = {}, odometer } = values.opened ?? {};
  useEffect(() => {
    if (form.ready && !form.kept) document.getElementById('f-opened-vehicle-plate')?.focus();
  }, [form.ready]);
  useEffect(() => void learn().catch(() => undefined), []);

  const open = async () => {
    if (!isNamed(form))
      return form.refuse([{ field: 'opened.vehicle.plate', message: phrase('Give the plate, the VIN or the make: the case is found by it.') }]);
    setBusy(true);
    /** @type {import('../../field/log.js').Draft[]} */
    const drafts = [{ case: values.case, kind: 'case_opened', body: { vehicle: {}, ...asRecorded(values.opened), ...(await tableForNewCase()) } }];
    if (values.complaint) drafts.push({ case: values.case, kind: 'complaint', body: values.complaint });
    for (const photo of photos) drafts.push({ case: values.case, kind: 'photo', body: photoBody(photo, { shows: 'damage_before' }) });
    const { entries, problems } = await saveAll(drafts, phrase('Case opened on this device'));
    setBusy(false);
    if (!entries.length)
      return form.refuse(problems.map((problem) => ({ ...problem, field: formPath(problem.field) })));
    if (photos.length) await saveMarks(entries.slice(-photos.length), photos);
    await form.done();
    goInstead(to('case', values.case));
  };

  const startOver = async () => {
    await form.done();
    goInstead(to());
  };

  const keys = html`<button
    type="button"
    class="key main wide tall"
    aria-busy=${busy}
    disabled=${busy}
    onClick=${open}
  >Open the case</button>`;
  /** Whether something below these paths was refused. @param {...string} paths */
  const wrong = (...paths) => form.problems.some(({ field }) => paths.some((path) => field.startsWith(path)));
  if (!form.ready) return html`<${Screen} title="New case" back=${to()} />`;
  return html`<${Screen} title="New case" back=${to()} keys=${keys}>
    ${
      form.kept &&
      html`<p class="kept">
      Half-filled from before, nothing is lost.
      <button type="button" class="key quiet" onClick=${startOver}>Throw it away</button>
    </p>`
    }
    <section class="stack dense">
      <h2>Vehicle <span class="needed">Needed: plate, VIN or make</span></h2>
      <${VehicleInShort} form=${form} />
      <${KnownVehicle} form=${form} />
    </section>
    <section class="stack dense">
      <h2>Engine <span class="needed">Needed</span></h2>
      <${EngineFields} form=${form} />
    </section>
    <section class="stack dense">
      <h2>Complaint</h2>
      <${ComplaintInShort} form=${form} prefix="complaint." />
    </section>
    <section class="stack close">
      <h2>Can wait <span class="needed">Add it later from the case</span></h2>
      <div>
        <${Fold} words="Customer's words, since when" held=${inShort(values.complaint?.words, values.complaint?.since)} open=${wrong('complaint')}>
          <${ComplaintRest} form=${form} prefix="complaint." />
        <//>
        <${Fold} words="Year, odometer; phone, address" held=${inShort(car.year, odometer && asTyped(odometer), car.engine_name, customer.phone, customer.email, customer.address)} open=${wrong('opened.customer', 'opened.odometer', 'opened.vehicle.year', 'opened.vehicle.engine_name')}>
          <${VehicleRest} form=${form} />
          <${CustomerReach} form=${form} />
        <//>
        <${Fold} words="Damage already there" open=${photos.length > 0}>
          <p class="soft">Photos now save a quarrel later.</p>
          <${HeldPhotos}
            photos=${photos}
            words=${(/** @type {number} */ n) => phrase('Damage, photo {n}', { n })}
            onChange=${(/** @type {any[]} */ changed) => form.set('photos', changed)}
          />
          <${PhotoButton}
            caseId=${values.case}
            about=${{ shows: 'damage_before' }}
            onTaken=${(/** @type {any} */ taken) => form.set('photos', [...photos, held(taken)])}
            label="Photo of damage"
          />
        <//>
      </div>
    </section>
  <//>`;
}

const SHORT = 24; // letters of each, so that a fold stays a line or two

/** What is filled in, each cut to a few letters. @param {...unknown} filled */
function inShort(...filled) {
  const shown = filled.filter(Boolean).map(String);
  return shown.map((one) => (one.length > SHORT ? `${one.slice(0, SHORT)}\u2026` : one)).join(', ');
}

/** "0.vehicle.plate" of the log is "opened.vehicle.plate" of this form. @param {string} field */
function formPath(field) {
  const [, index, rest] = /^(\d+)\.(.*)$/.exec(field) ?? [null, '0', field];
  return `${{ 0: 'opened', 1: 'complaint' }[index] ?? 'photos'}.${rest}`;
}
