/** Codes: typed or found in any pasted text, with what each has to do with the miss, kept as one reading. */
import { useState } from 'preact/hooks';
import { isCode, joined, rawOf } from '../codes-found.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { held, savePhotos } from '../photo-entries.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { CodeList } from '../pieces/code-list.js';
import { CodePaste, usePaste } from '../pieces/code-paste.js';
import { CodeType } from '../pieces/code-type.js';
import { CodesCompared } from '../pieces/codes-compared.js';
import { CodesNow } from '../pieces/codes-now.js';
import { Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { HeldPhotos } from '../pieces/held-photos.js';
import { PhotoButton } from '../pieces/photo-button.js';
import { goInstead, home } from '../route.js';
import { saveAll } from '../saving.js';
import { phrase } from '../tongue.js';

/** @typedef {import('../codes-found.js').Read} Read */

/** @param {{id: string}} props */
export function Codes({ id }) {
  const form = useForm(`form/${id}/codes`, () => ({}));
  const [busy, setBusy] = useState(false);
  const codesBefore = openCase.value?.view?.codes;
  /** @type {Read[]} */
  const codes = form.values.codes ?? [];
  // A code that stands in the field when the reading is kept belongs to it.
  const typed = form.values.typed ?? '';
  const all = isCode(typed) ? joined(form.values, { codes: [{ code: typed, status: form.values.status ?? 'stored' }], obtained: 'typed' }) : { codes };
  const photos = form.values.photos ?? [];

  /** @param {import('../codes-found.js').Found} found */
  const add = (found) => {
    for (const [name, value] of Object.entries(joined(form.values, found))) form.set(name, value);
  };

  const paste = usePaste(form, add);

  const record = async () => {
    if (typed && !isCode(typed))
      return form.refuse([{ field: 'typed', message: phrase('This is no code yet: finish it, or empty the field.') }]);
    setBusy(true);
    const { codes: _, photos: __, typed: ___, status: ____, pasted: _____, ...rest } = { ...form.values, ...all };
    const unsearched = paste.waits ? { raw: rawOf(paste.text) } : {};
    const whole = nothing ? { complete: true } : {};
    const body = { ...rest, ...whole, ...unsearched, codes: all.codes.map((/** @type {Read} */ { code, status }) => ({ code, status })) };
    const { entries, problems } = read ? await saveAll([{ case: id, kind: 'codes_read', body }]) : { entries: [], problems: [] };
    setBusy(false);
    if (read && !entries.length) return form.refuse(problems);
    const of = read ? { of: entries[0].id } : {};
    await savePhotos(id, photos, { shows: 'codes', ...of });
    await form.done();
    goInstead(home(id));
  };

  // A reader that shows no code has told something too: the whole list, with nothing in it.
  const nothing = !all.codes.length && !photos.length && !form.values.raw;
  const read = all.codes.length > 0 || form.values.complete || nothing; // else there are pictures of a screen at most
  const words = all.codes.length
    ? phrase('Keep {n} code|Keep {n} codes', { n: all.codes.length })
    : typed
      ? phrase('Keep the codes')
      : read || !photos.length
        ? phrase('Keep: no codes')
        : phrase('Keep the picture|Keep the pictures', { n: photos.length });
  // A text that could not be searched (no core) goes along with codes that were typed instead.
  const search = paste.waits && !(paste.problem && all.codes.length);
  const keys = html`<button
    type="button"
    class=${`key wide tall ${nothing && !search ? '' : 'main'}`}
    disabled=${busy || paste.busy || !(search || read || photos.length)}
    onClick=${() => void (search ? paste.find() : record())}
  >${search ? phrase('Find the codes in the text first') : words}</button>`;
  return html`<${CaseScreen} id=${id} title="Codes" keys=${form.ready && keys}>
    ${
      form.ready &&
      html`<div class="stack">
      <${CodeType} form=${form} onAdd=${(/** @type {Read} */ one) => add({ codes: [one], obtained: 'typed' })} />
      <${CodePaste} form=${form} paste=${paste} />
      <${CodeList}
        codes=${codes}
        onChange=${(/** @type {Read[]} */ changed) => form.set('codes', changed)}
        problemAt=${form.problemAt}
      />
      <${Field} kind="codes_read" path="complete" form=${form} />
      <${CodesCompared} before=${codesBefore} codes=${codes} complete=${Boolean(form.values.complete)} />
      <${HeldPhotos}
        photos=${photos}
        words=${(/** @type {number} */ n) => phrase('Picture {n}, kept with the codes', { n })}
        onChange=${(/** @type {any[]} */ changed) => form.set('photos', changed)}
      />
      <${PhotoButton}
        caseId=${id}
        about=${{ shows: 'codes' }}
        label="Photo of the screen or a printout"
        onTaken=${(/** @type {any} */ taken) => form.set('photos', [...photos, held(taken)])}
      />
      <details class="more">
        <summary>Freeze frame and note</summary>
        <div class="stack">
          <${Field} kind="codes_read" path="freeze_frame.code" form=${form} extra=${{ autocapitalize: 'characters' }} />
          <div class="side-by-side">
            ${['rpm', 'load', 'coolant', 'speed', 'short_trim', 'long_trim'].map(
              (name) => html`<${Field}
              key=${name}
              kind="codes_read"
              path=${`freeze_frame.${name}`}
              form=${form}
            />`,
            )}
          </div>
          <${Field} kind="codes_read" path="note" form=${form} />
        </div>
      </details>
      <${CodesNow} codes=${codesBefore} />
    </div>`
    }
  <//>`;
}
