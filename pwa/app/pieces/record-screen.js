/** A screen with one form that becomes one entry, its photos with it. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { held, savePhotos, saveVoices } from '../photo-entries.js';
import { puttingRight } from '../put-right.js';
import { goInstead, home } from '../route.js';
import { saveAll } from '../saving.js';
import { phrase } from '../tongue.js';
import { CaseScreen } from './case-screen.js';
import { HeldPhotos } from './held-photos.js';
import { HeldVoices } from './held-voices.js';
import { PhotoButton } from './photo-button.js';

/**
 * @param {object} props
 * @param {string} props.id
 * @param {string} props.title
 * @param {string} props.kind
 * @param {import('./form.js').Form} props.form
 * @param {(values: Record<string, any>) => Record<string, any> | null | Promise<Record<string, any> | null>} [props.toBody]
 *   form values to body, as they are otherwise; null: the form has refused them
 * @param {(body: Record<string, any>) => Record<string, any>[]} [props.inOneGo]  the bodies of all entries that the one stands for
 * @param {Record<string, any>} [props.photoAbout]  with it, photos can be taken and notes spoken
 * @param {import('../../field/log.js').Entry} [props.former]  an entry that this one puts right
 * @param {string} props.words  on the key
 * @param {string} [props.saved]  what is said on success
 * @param {boolean} [props.needsView]
 * @param {string | ((entry: import('../../field/log.js').Entry) => string)} [props.next]  where to go afterwards, the case otherwise
 * @param {any} [props.children]
 */
export function RecordScreen({
  id,
  title,
  kind,
  form,
  toBody = (values) => values,
  inOneGo = (body) => [body],
  photoAbout,
  former,
  words,
  saved,
  needsView,
  next,
  children,
}) {
  const [busy, setBusy] = useState(false);
  const { photos = [], voices = [] } = form.values;
  const record = async () => {
    setBusy(true);
    const { photos: _, voices: __, ...values } = form.values;
    const body = await toBody(values);
    const drafts = body && (former ? puttingRight(former, body) : inOneGo(body).map((one) => ({ case: id, kind, body: one })));
    const { entries, problems } = drafts ? await saveAll(drafts, saved) : { entries: [], problems: null };
    setBusy(false);
    if (!problems) return;
    if (!entries.length) return form.refuse(problems.map((problem) => ({ ...problem, field: problem.field.replace(/^0\./, '') })));
    await savePhotos(id, photos, { ...photoAbout, of: entries[0].id });
    await saveVoices(id, voices, entries[0].id);
    await form.done();
    goInstead((typeof next === 'function' ? next(entries[0]) : next) ?? home(id));
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
        html`<${HeldVoices} caseId=${id} voices=${voices} onChange=${(/** @type {any[]} */ changed) => form.set('voices', changed)} />
      <${HeldPhotos}
        photos=${photos}
        words=${(/** @type {number} */ n) => phrase('Photo {n}, kept with this', { n })}
        onChange=${(/** @type {any[]} */ changed) => form.set('photos', changed)}
      />
      <${PhotoButton}
        caseId=${id}
        about=${photoAbout}
        onTaken=${(/** @type {any} */ taken) => form.set('photos', [...photos, held(taken)])}
      />`
      }
      ${loose.map((problem) => html`<p class="problem" role="alert" key=${problem.message}>${problem.message}</p>`)}
    </div>`
    }
  <//>`;
}
