/** A screen with one form that becomes one entry, its photos with it. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { photoBody } from '../photo-entries.js';
import { goInstead, to } from '../route.js';
import { saveAll } from '../saving.js';
import { phrase } from '../tongue.js';
import { CaseScreen } from './case-screen.js';
import { PhotoButton } from './photo-button.js';
import { Picture } from './thumbs.js';

/**
 * @param {object} props
 * @param {string} props.id
 * @param {string} props.title
 * @param {string} props.kind
 * @param {import('./form.js').Form} props.form
 * @param {(values: Record<string, any>) => Record<string, any> | null | Promise<Record<string, any> | null>} [props.toBody]
 *   form values to body, as they are otherwise; null: the form has refused them
 * @param {Record<string, any>} [props.photoAbout]  with it, photos can be taken
 * @param {string} props.words  on the key
 * @param {string} [props.saved]  what is said on success
 * @param {boolean} [props.needsView]
 * @param {string} [props.next]  where to go afterwards, the case otherwise
 * @param {any} [props.children]
 */
export function RecordScreen({
  id,
  title,
  kind,
  form,
  toBody = (values) => values,
  photoAbout,
  words,
  saved,
  needsView,
  next,
  children,
}) {
  const [busy, setBusy] = useState(false);
  const photos = form.values.photos ?? [];
  const record = async () => {
    setBusy(true);
    const { photos: _, ...values } = form.values;
    const body = await toBody(values);
    const { entries, problems } = body ? await saveAll([{ case: id, kind, body }], saved) : { entries: [], problems: null };
    setBusy(false);
    if (!problems) return;
    if (!entries.length) return form.refuse(problems);
    if (photos.length)
      await saveAll(
        photos.map((/** @type {any} */ photo) => ({
          case: id,
          kind: 'photo',
          body: { ...photo, ...photoAbout, of: entries[0].id },
        })),
      );
    await form.done();
    goInstead(next ?? to('case', id));
  };
  const keys = html`<button
    type="button"
    class="key main wide tall"
    aria-busy=${busy}
    disabled=${busy}
    onClick=${() => void record()}
  >${words}</button>`;
  const loose = form.problems.filter((problem) => !problem.field);
  return html`<${CaseScreen} id=${id} title=${title} needsView=${needsView} keys=${form.ready && keys}>
    ${
      form.ready &&
      html`<div class="stack">
      ${children}
      ${
        photoAbout &&
        photos.length > 0 &&
        html`<ul class="thumbs">
        ${photos.map(
          (/** @type {any} */ photo, /** @type {number} */ index) => html`<li key=${photo.sha256}>
          <${Picture} sha256=${photo.sha256} alt=${phrase('Photo {n}, kept with this', { n: index + 1 })} />
        </li>`,
        )}
      </ul>`
      }
      ${
        photoAbout &&
        html`<${PhotoButton}
        caseId=${id}
        about=${photoAbout}
        onTaken=${(/** @type {any} */ taken) => form.set('photos', [...photos, photoBody(taken, {})])}
      />`
      }
      ${loose.map((problem) => html`<p class="problem" role="alert" key=${problem.message}>${problem.message}</p>`)}
    </div>`
    }
  <//>`;
}
