/** One check in one place: where, what was found, a reading, a photo. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { placesOf, servedBy } from '../case-look.js';
import { check as checkOf } from '../declared.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { held, savePhotos, saveVoices } from '../photo-entries.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { Caution, CheckIntro, CodesFirst } from '../pieces/check-intro.js';
import { DisabledBy, lastDisabledBy } from '../pieces/disabled-by.js';
import { ChoiceField, Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { HeldPhotos } from '../pieces/held-photos.js';
import { HeldVoices } from '../pieces/held-voices.js';
import { useMeant } from '../pieces/meant.js';
import { MoreBelow } from '../pieces/more-below.js';
import { NoteFields } from '../pieces/note-fields.js';
import { PhotoButton } from '../pieces/photo-button.js';
import { ConditionsField, hasReading, KeepReading, ReadingFields } from '../pieces/reading-fields.js';
import { goInstead, home, to } from '../route.js';
import { readTodayIn, showsFor } from '../rounds.js';
import { saveAll } from '../saving.js';
import { changeSettings } from '../settings.js';
import { FindingSketch } from '../sketches.js';
import { phrase } from '../tongue.js';
import { nearestBehind } from '../way-back.js';
import { Unknown } from './unknown.js';

/** @param {{id: string, parts: string[]}} props */
export function OneCheck({ id, parts }) {
  const check = checkOf(parts[0]);
  return check
    ? html`<${OfCheck} id=${id} check=${check} cylinder=${Number(parts[1]) || null} />`
    : html`<${Unknown} />`;
}

/**
 * @param {{id: string, check: import('../declared.js').Check, cylinder: number | null}} props  `cylinder`: where the user came from
 */
function OfCheck({ id, check, cylinder }) {
  const form = useForm(`form/${id}/check-${check.key}`, () => ({}));
  const [busy, setBusy] = useState(false);
  const meant = useMeant();
  const open = openCase.value;
  const engine = open?.view?.engine;
  const suspect = mostSuspect(open?.diagnosis?.cylinders);
  const preset = useRef(false);
  useEffect(() => {
    if (!form.ready || !engine || check.about === 'engine' || preset.current) return;
    // A choice of an earlier visit that only came with the form is no choice of the user's.
    const name = check.about === 'cylinder' ? 'cylinder' : 'place';
    if (!cylinder && form.get(name) && form.get(name) !== form.get('preset')) return;
    const about = cylinder ?? aboutNow(open, check) ?? suspect;
    if (!about) return;
    preset.current = true;
    const where = name === 'cylinder' ? about : placesOf(engine, check.about).find((place) => servedBy(engine, place).includes(about));
    form.set(name, where);
    form.set('preset', where);
  }, [form.ready, engine?.cylinders, suspect]);
  const { photos = [], voices = [], preset: _, ...values } = form.values;
  const where =
    check.about === 'cylinder' || check.about === 'engine' ? { cylinder: values.cylinder } : { place: values.place };

  const disabled = check.key === 'drop' ? (values.disabled ?? lastDisabledBy(open?.entries ?? [])) : '';

  /** @param {string} [finding] */
  const record = async (finding) => {
    const unsaid = check.about === 'cylinder' ? !values.cylinder && 'cylinder' : check.about !== 'engine' && !values.place && 'place';
    if (unsaid) return form.refuse([{ field: unsaid, message: phrase('Say first where this was found.') }]);
    const corrected = await meant.settled({ ...values, check: check.key, ...(finding ? { finding } : {}) });
    if (!corrected) return;
    setBusy(true);
    const body = { ...values, check: check.key, ...(finding ? { finding } : {}), ...corrected, ...(disabled ? { disabled } : {}) };
    const { entries, problems } = await saveAll([{ case: id, kind: 'check', body }]);
    setBusy(false);
    if (!entries.length) return form.refuse(problems);
    await savePhotos(id, photos, { shows: showsFor(check), ...where, of: entries[0].id });
    await saveVoices(id, voices, entries[0].id);
    await form.done();
    goInstead(home(id));
  };
  /** @param {string} how */
  const disableBy = (how) => {
    changeSettings({ disabledBy: how });
    form.set('disabled', how);
  };
  /** @param {any} taken @param {Record<string, any>} of  with the detail that it was aimed at */
  const onPhoto = (taken, of) => form.set('photos', [...photos, held({ ...taken, detail: of.detail })]);

  const askingAnew = {
    ...form,
    set: (/** @type {string} */ path, /** @type {any} */ value) => {
      meant.withdraw();
      form.set(path, value);
    },
  };

  const keys = html`<${MoreBelow} /><div class="findings" role="group" aria-label="Finding">
      ${check.findings.map(
        (one) => html`<button
        type="button"
        class="key tall"
        key=${one.value}
        disabled=${busy}
        onClick=${() => void record(one.value)}
      ><${FindingSketch} check=${check.key} finding=${one.value} />${one.label}</button>`,
      )}
    </div>
    ${form.problemAt('finding') && html`<p class="problem" role="alert">${form.problemAt('finding')}</p>`}`;
  return html`<${CaseScreen}
    id=${id}
    title=${check.label}
    needsView=${check.about !== 'engine'}
    keys=${form.ready && keys}
    back=${nearestBehind([home(id), to('case', id, 'checks')])}
  >
    ${
      form.ready &&
      html`<div class="stack">
      ${check.key === 'drop' && html`<${CodesFirst} id=${id} entries=${open?.entries ?? []} />`}
      ${
        check.key === 'drop' &&
        html`<${DisabledBy}
          value=${disabled}
          missing=${Boolean(form.problemAt('disabled'))}
          onChange=${disableBy}
        />`
      }
      <${Caution} check=${check} way=${disabled} again=${readTodayIn(open?.entries ?? [], check, disabled)} />
      <${Where} form=${form} check=${check} engine=${engine} />
      <${ReadingFields} check=${check} form=${askingAnew} />
      ${
        hasReading(check, values) &&
        html`<${KeepReading}
          check=${check}
          body=${{ ...values, check: check.key }}
          busy=${busy}
          onKeep=${() => void record()}
        />`
      }
      ${meant.question}
      <${CheckIntro} check=${check} again=${readTodayIn(open?.entries ?? [], check, disabled)} />
      <${ConditionsField} check=${check} form=${form} />
      <${NoteFields} kind="check" form=${form} />
      <${HeldVoices} caseId=${id} voices=${voices} onChange=${(/** @type {any[]} */ changed) => form.set('voices', changed)} />
      <${HeldPhotos}
        photos=${photos}
        words=${(/** @type {number} */ n) => phrase('Photo {n}, kept with the finding', { n })}
        onChange=${(/** @type {any[]} */ changed) => form.set('photos', changed)}
      />
      <${PhotoButton} caseId=${id} about=${{ shows: showsFor(check), ...where }} onTaken=${onPhoto} />
    </div>`
    }
  <//>`;
}

/**
 * The cylinder that this check is about now: as the advice has it, else that of the last record at one place. A round goes
 * over all of them and a move names several, so neither says which.
 * @param {import('../open-case.js').OpenCase | null} open
 * @param {import('../declared.js').Check} check
 * @returns {number | null}
 */
function aboutNow(open, check) {
  const engine = open?.view?.engine;
  const advised = open?.diagnosis?.steps.find((/** @type {any} */ one) => one.kind === 'check' && one.body?.check === check.key)?.body;
  const last = open?.entries?.findLast(({ kind }) => ['check', 'repair', 'parts_moved'].includes(kind));
  const { cylinder, place } = advised?.cylinder || advised?.place ? advised : last && !last.body.round ? last.body : {};
  return cylinder ?? (place && engine ? (servedBy(engine, place)[0] ?? null) : null);
}

const SUSPECT = 0.5; // below it no cylinder stands out; a choice of ours, no source

/** The cylinder that stands out as suspect, or null. @param {{cylinder: number, suspicion: number}[]} [cylinders] */
function mostSuspect(cylinders = []) {
  const [first, second] = [...cylinders].sort((a, b) => b.suspicion - a.suspicion);
  return first?.suspicion >= SUSPECT && first.suspicion > (second?.suspicion ?? 0) ? first.cylinder : null;
}

/** @param {{form: import('../pieces/form.js').Form, check: import('../declared.js').Check, engine: any}} props */
function Where({ form, check, engine }) {
  if (check.about === 'engine' || !engine) return null;
  if (check.about === 'cylinder') {
    const choices = Array.from({ length: engine.cylinders }, (_, index) => ({
      value: String(index + 1),
      label: String(index + 1),
    }));
    const asText = {
      ...form,
      get: () => String(form.get('cylinder') ?? ''),
      set: (/** @type {string} */ _, /** @type {string} */ value) => form.set('cylinder', Number(value)),
    };
    return html`<div class="numerals">
      <${ChoiceField} field=${{ type: 'choice', label: phrase('Cylinder'), choices }} path="cylinder" form=${asText} />
    </div>`;
  }
  const choices = placesOf(engine, check.about).map((place) => ({ value: place, label: placeLabel(engine, place) }));
  return html`<div class="numerals">
    <${ChoiceField}
      field=${{ type: 'choice', label: check.about === 'coil' && engine.coils.length < engine.cylinders ? phrase('Coil') : phrase('Cylinder'), choices }}
      path="place"
      form=${form}
    />
  </div>`;
}

/** @param {any} engine @param {string} place */
function placeLabel(engine, place) {
  const served = servedBy(engine, place);
  const number = place.split('.')[1];
  return served.length === 1 && String(served[0]) === number ? number : `${number} (${served.join(' + ')})`;
}
