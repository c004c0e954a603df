/** A photo of anything: what it shows and where is said before or after, it is kept in any case. */
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { savePhoto } from '../photo-entries.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { CylinderChoice } from '../pieces/cylinder-choice.js';
import { Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { PhotoButton } from '../pieces/photo-button.js';
import { Thumbs } from '../pieces/thumbs.js';
import { photoWords } from '../case-look.js';

/** @param {{id: string}} props */
export function PhotoScreen({ id }) {
  const form = useForm(`form/${id}/photo`, () => ({ shows: 'engine' }));
  const about = form.values;
  /** @param {any} taken @param {Record<string, any>} of  with the detail that it was aimed at */
  const onTaken = async (taken, of) => {
    await savePhoto(id, taken, of);
    form.set('caption', undefined);
  };
  const photos = (openCase.value?.view?.photos ?? []).map((/** @type {any} */ photo) => ({
    sha256: photo.sha256,
    alt: photoWords(photo),
  }));
  const keys = html`<div class="keys">
    <${PhotoButton} caseId=${id} about=${about} onTaken=${onTaken} label="Take a photo" />
    <${PhotoButton} caseId=${id} about=${about} onTaken=${onTaken} label="From the files" from="files" />
  </div>`;
  return html`<${CaseScreen} id=${id} title="Photo" keys=${form.ready && keys}>
    <div class="stack">
      <${Field} kind="photo" path="shows" form=${form} />
      <${CylinderChoice} form=${form} path="cylinder" engine=${openCase.value?.view?.engine} />
      <${Field} kind="photo" path="caption" form=${form} />
      ${
        photos.length > 0 &&
        html`<section class="stack close">
        <h2>Kept so far</h2><${Thumbs} caseId=${id} photos=${photos.reverse()} />
      </section>`
      }
    </div>
  <//>`;
}
