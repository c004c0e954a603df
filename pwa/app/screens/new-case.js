/**
 * A new case: the car, its engine as it is drawn, whose it is, and what the customer notices. Only the engine must
 * be said.
 */
import { useEffect, useState } from 'preact/hooks';
import { newCaseId } from '../../field/log.js';
import { html } from '../html.js';
import { ComplaintFields } from '../pieces/complaint-fields.js';
import { EngineFields } from '../pieces/engine-fields.js';
import { useForm } from '../pieces/form.js';
import { CustomerFields, VehicleFields } from '../pieces/opened-fields.js';
import { PhotoButton } from '../pieces/photo-button.js';
import { Screen } from '../pieces/screen.js';
import { Picture } from '../pieces/thumbs.js';
import { goInstead, to } from '../route.js';
import { saveAll } from '../saving.js';
import { learn, tableForNewCase } from '../shop-learned.js';
import { phrase } from '../tongue.js';

const DRAFT = 'form/new-case';

/** The engine met most often stands there to begin with, drawn, so that a wrong one shows. */
const atFirst = () => ({
  case: newCaseId(),
  opened: { engine: { cylinders: 4, layout: 'inline', ignition: 'coil_on_plug', orientation: 'crosswise' } },
});

export function NewCase() {
  const form = useForm(DRAFT, atFirst);
  const [busy, setBusy] = useState(false);
  const { values } = form;
  useEffect(() => void learn().catch(() => undefined), []);

  const open = async () => {
    setBusy(true);
    const drafts = [{ case: values.case, kind: 'case_opened', body: { vehicle: {}, ...values.opened, ...(await tableForNewCase()) } }];
    if (values.complaint) drafts.push({ case: values.case, kind: 'complaint', body: values.complaint });
    for (const body of values.photos ?? []) drafts.push({ case: values.case, kind: 'photo', body });
    const { entries, problems } = await saveAll(drafts, phrase('Case opened on this phone'));
    setBusy(false);
    if (!entries.length)
      return form.refuse(problems.map((problem) => ({ ...problem, field: formPath(problem.field) })));
    await form.done();
    goInstead(to('case', values.case));
  };

  /** @param {any} taken @param {any} about */
  const addPhoto = ({ sha256, bytes, width, height }, about) =>
    form.set('photos', [...(form.get('photos') ?? []), { sha256, bytes, width, height, ...about }]);

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
  if (!form.ready) return html`<${Screen} title="New case" back=${to()} />`;
  return html`<${Screen} title="New case" back=${to()} keys=${keys}>
    ${
      form.kept &&
      html`<p class="kept">
      Half-filled from before, nothing is lost.
      <button type="button" class="key quiet" onClick=${startOver}>Throw it away</button>
    </p>`
    }
    <${VehicleFields} form=${form} />
    <section class="stack">
      <h2>Engine</h2>
      <${EngineFields} form=${form} />
    </section>
    <section class="stack">
      <h2>Complaint</h2>
      <${ComplaintFields} form=${form} prefix="complaint." />
    </section>
    <${CustomerFields} form=${form} />
    <section class="stack">
      <h2>Damage already there</h2>
      <p class="soft">Photos now save a quarrel later.</p>
      ${
        values.photos?.length > 0 &&
        html`<ul class="thumbs">
          ${values.photos.map(
            (/** @type {any} */ photo, /** @type {number} */ index) => html`<li key=${photo.sha256}>
            <${Picture} sha256=${photo.sha256} alt=${phrase('Damage, photo {n}', { n: index + 1 })} />
          </li>`,
          )}
        </ul>`
      }
      <${PhotoButton}
        caseId=${values.case}
        about=${{ shows: 'damage_before' }}
        onTaken=${addPhoto}
        label="Photo of damage"
      />
    </section>
  <//>`;
}

/** "0.vehicle.plate" of the log is "opened.vehicle.plate" of this form. @param {string} field */
function formPath(field) {
  const [, index, rest] = /^(\d+)\.(.*)$/.exec(field) ?? [null, '0', field];
  return `${{ 0: 'opened', 1: 'complaint' }[index] ?? 'photos'}.${rest}`;
}
