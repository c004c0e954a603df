/** Codes: typed or found in any pasted text, with what each has to do with the miss, kept as one reading. */
import { useState } from 'preact/hooks';
import { joined } from '../codes-found.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { photoBody } from '../photo-entries.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { CodeList } from '../pieces/code-list.js';
import { CodePaste } from '../pieces/code-paste.js';
import { CodeType } from '../pieces/code-type.js';
import { CodesCompared } from '../pieces/codes-compared.js';
import { CodesNow } from '../pieces/codes-now.js';
import { Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { PhotoButton } from '../pieces/photo-button.js';
import { Picture } from '../pieces/thumbs.js';
import { goInstead, to } from '../route.js';
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
  const photos = form.values.photos ?? [];

  /** @param {import('../codes-found.js').Found} found */
  const add = (found) => {
    for (const [name, value] of Object.entries(joined(form.values, found))) form.set(name, value);
  };

  const record = async () => {
    setBusy(true);
    const { codes: _, photos: __, typed: ___, status: ____, pasted: _____, ...rest } = form.values;
    const whole = nothing ? { complete: true } : {};
    const body = { ...rest, ...whole, codes: codes.map(({ code, status }) => ({ code, status })) };
    const { entries, problems } = read ? await saveAll([{ case: id, kind: 'codes_read', body }]) : { entries: [], problems: [] };
    setBusy(false);
    if (read && !entries.length) return form.refuse(problems);
    const of = read ? { of: entries[0].id } : {};
    if (photos.length)
      await saveAll(
        photos.map((/** @type {any} */ photo) => ({ case: id, kind: 'photo', body: { ...photo, shows: 'codes', ...of } })),
      );
    await form.done();
    goInstead(to('case', id));
  };

  // A reader that shows no code has told something too: the whole list, with nothing in it.
  const nothing = !codes.length && !photos.length && !form.values.raw;
  const read = codes.length > 0 || form.values.complete || nothing; // else there are pictures of a screen at most
  const words = codes.length
    ? phrase('Keep {n} code|Keep {n} codes', { n: codes.length })
    : read || !photos.length
      ? phrase('Keep: no codes')
      : phrase('Keep the picture|Keep the pictures', { n: photos.length });
  const keys = html`<button
    type="button"
    class="key main wide tall"
    disabled=${busy || !(read || photos.length)}
    onClick=${() => void record()}
  >${words}</button>`;
  return html`<${CaseScreen} id=${id} title="Codes" keys=${form.ready && keys}>
    ${
      form.ready &&
      html`<div class="stack">
      <${CodeType} form=${form} onAdd=${(/** @type {Read} */ one) => add({ codes: [one], obtained: 'typed' })} />
      <${CodePaste} form=${form} onFound=${add} />
      <${CodeList}
        codes=${codes}
        onChange=${(/** @type {Read[]} */ changed) => form.set('codes', changed)}
        problemAt=${form.problemAt}
      />
      <${Field} kind="codes_read" path="complete" form=${form} />
      <${CodesCompared} before=${codesBefore} codes=${codes} complete=${Boolean(form.values.complete)} />
      ${
        photos.length > 0 &&
        html`<ul class="thumbs">
        ${photos.map(
          (/** @type {any} */ photo, /** @type {number} */ index) => html`<li key=${photo.sha256}>
          <${Picture} sha256=${photo.sha256} alt=${phrase('Picture {n}, kept with the codes', { n: index + 1 })} />
        </li>`,
        )}
      </ul>`
      }
      <${PhotoButton}
        caseId=${id}
        about=${{ shows: 'codes' }}
        label="Photo of the screen or a printout"
        onTaken=${(/** @type {any} */ taken) => form.set('photos', [...photos, photoBody(taken, {})])}
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
