/** One cylinder of a round: what to look at, and a key for each finding. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { html } from '../html.js';
import { bringInSight } from '../in-sight.js';
import { caseView } from '../open-case.js';
import { savePhoto, savePhotos, saveVoices } from '../photo-entries.js';
import { entryAt, findingOf, foundAt, photosAt, readTodayIn, showsFor, speedBefore } from '../rounds.js';
import { saveAll } from '../saving.js';
import { changeSettings } from '../settings.js';
import { phrase } from '../tongue.js';
import { FindingSketch } from '../sketches.js';
import { CaseScreen } from './case-screen.js';
import { Caution, CheckIntro, CodesFirst } from './check-intro.js';
import { DisabledBy, lastDisabledBy } from './disabled-by.js';
import { HeldPhotos } from './held-photos.js';
import { HeldVoices } from './held-voices.js';
import { Icon } from './icon.js';
import { useMeant } from './meant.js';
import { MeasuredDrop } from './measured-drop.js';
import { MoreBelow } from './more-below.js';
import { PhotoButton } from './photo-button.js';
import { PlainField } from './plain-field.js';
import { figuresOf } from '../figures-read.js';
import { ConditionsField, formOver, hasReading, KeepReading, RANGE, ReadingFields, readingOf } from './reading-fields.js';
import { RoundProgress } from './round-progress.js';
import { Thumbs } from './thumbs.js';

/** Kept in the log, so in no language of its own: `casefile` puts it in words. */
const FOUND_ANEW = 'Found anew in the same round';

/**
 * @param {object} props
 * @param {string} props.id
 * @param {import('../declared.js').Check} props.check
 * @param {import('../rounds.js').Round} props.round
 * @param {ReturnType<typeof import('../rounds.js').stations>} props.stations
 * @param {number} props.at
 * @param {import('../../field/log.js').Entry[]} props.entries
 * @param {import('../rounds.js').ChangeRound} props.change
 * @param {(order: 'number' | 'firing') => void} props.reorder
 */
export function Station({ id, check, round, stations, at, entries, change, reorder }) {
  const station = stations[at];
  const before = entryAt(entries, round.id, station);
  const voices = round.voices ?? [];
  const view = caseView.value;
  const known = before ?? foundAt(entries, view, check, round.id, station);
  const finding = findingOf(known, view);
  /** Taken here in an earlier visit: with the finding, or before there was one. */
  const keptHere = view ? photosAt(view, check, station, before?.id).filter((/** @type {any} */ { of }) => !of || of === before?.id) : [];
  const [noting, setNoting] = useState(Boolean(round.note || voices.length));
  const reading = round.readings?.[station.number] ?? startingFrom(check, before, round, entries);
  /** @param {import('../rounds.js').Round} now @param {Record<string, any> | undefined} values */
  const readingsIn = (now, values) => ({ readings: { ...now.readings, [station.number]: values } });
  const meant = useMeant();
  const [problems, setProblems] = useState(/** @type {import('../../field/kinds.js').Problem[]} */ ([]));
  const keeping = useRef(false); // a finding is on its way to the disk: a second tap is not meant
  const [measured, setMeasured] = useState(/** @type {import('../../field/core.js').Answer | null} */ (null));
  const [otherWay, setOtherWay] = useState(false); // its caution has not been read yet
  const [missing, setMissing] = useState(false); // a finding was tapped before it was said how the cylinder is disabled
  const asksHow = check.key === 'drop';
  const disabled = asksHow ? round.disabled || lastDisabledBy(entries) : '';
  const unasked = asksHow && !disabled;
  const about = {
    shows: showsFor(check),
    ...(station.place ? { place: station.place } : { cylinder: station.cylinder }),
  };

  // Counters are read as it misses, so that is how it was driven until somebody says otherwise.
  const counted = check.key === 'misfire_counts';
  const conditions = counted ? (round.conditions ?? view?.provoking ?? []) : [];
  const { shows: _, ...where } = about;
  // A speed of an earlier round, which nobody has looked at in this one, is no reading.
  const speedSaid = round.speed !== undefined || Boolean(round.readings?.[station.number]) || Boolean(before);
  // A range alone is not kept with a finding: there is no reading that it belongs to.
  const read = hasReading(check, reading) ? readingOf({ ...round.range, ...reading }) : readingOf(speedSaid ? reading : { ...reading, rpm_before: undefined });
  const form = formOver(
    { ...round.range, ...reading },
    (path, value) => {
      setProblems(problems.filter((problem) => problem.field !== path));
      if (RANGE.includes(path)) void change({ range: { ...round.range, [path]: value || undefined } });
      else {
        meant.withdraw();
        // Of two fields filled in one breath the second must know of the first.
        void change((latest) => readingsIn(latest, { ...(latest.readings?.[station.number] ?? reading), [path]: value }));
      }
    },
    problems,
  );

  /** @param {string} [finding] @param {HTMLElement} [key]  that was tapped: it stays pressed until the finding is kept */
  const found = async (finding, key) => {
    if (keeping.current) return;
    if (unasked) {
      setMissing(true);
      requestAnimationFrame(() => /** @type {HTMLElement | null} */ (document.querySelector('[aria-invalid="true"]'))?.focus());
      return;
    }
    const corrected = await meant.settled({ check: check.key, ...where, ...read, ...(finding ? { finding } : {}), round: round.id });
    if (!corrected) return;
    keeping.current = true;
    key?.setAttribute('aria-busy', 'true'); // by itself: the tap waits for no other drawing
    const body = {
      check: check.key,
      ...where,
      ...(finding ? { finding } : {}),
      ...read,
      ...corrected,
      ...(reading.rpm_during === undefined ? measured?.body : {}), // what a tachometer showed comes first
      ...(asksHow ? { disabled } : {}),
      ...(conditions.length ? { conditions } : {}),
      ...(round.note.trim() ? { note: round.note.trim() } : {}),
      round: round.id,
    };
    /** @type {import('../../field/log.js').Draft[]} */
    const drafts = [{ case: id, kind: 'check', body }];
    if (before) drafts.push({ case: id, kind: 'struck', body: { entry: before.id, why: FOUND_ANEW } });
    const { entries: saved, problems: refused } = await saveAll(drafts);
    if (refused.length || problems.length) setProblems(refused);
    if (saved.length) {
      await savePhotos(id, round.photos, { ...about, of: saved[0].id });
      await saveVoices(id, voices, saved[0].id);
      await change({ at: at + 1, begun: true, note: '', photos: [], voices: [], typing: !finding, ...keptOf({ ...read, ...corrected }) });
    }
    key?.removeAttribute('aria-busy');
    keeping.current = false;
  };
  /** What was kept is no draft any more. @param {Record<string, any>} recorded */
  const keptOf = (recorded) => ({ ...readingsIn(round, undefined), speed: recorded.rpm_before ?? round.speed });

  // Whoever types readings goes on typing: Enter keeps one, and the field of the next cylinder waits for its own.
  const readings = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => {
    if (round.typing || (!round.begun && reading.rpm_before !== undefined && disabled)) firstEmpty(readings.current)?.focus({ preventScroll: true });
  }, []);
  // The key that keeps a reading must not come up under the keys at the bottom.
  const readable = hasReading(check, reading);
  useEffect(() => {
    if (!readable || !readings.current) return undefined;
    const sizes = new ResizeObserver(() => {
      if (readings.current?.contains(document.activeElement)) bringInSight(readings.current);
    });
    sizes.observe(readings.current);
    return () => sizes.disconnect();
  }, [readable]);
  /** @param {KeyboardEvent} event */
  const byEnter = (event) => {
    if (event.key !== 'Enter' || !(event.target instanceof HTMLInputElement) || !hasReading(check, reading)) return;
    event.preventDefault();
    void found();
  };

  const skip = async () => {
    await setLoose();
    await change({ at: at + 1, begun: true, photos: [], voices: [], ...readingsIn(round, undefined) });
  };
  /** @param {number} index */
  const goTo = async (index) => {
    await setLoose();
    await change({ at: index, photos: [], voices: [] });
  };
  /** Photos and voice notes of a cylinder without a finding stand alone. */
  const setLoose = async () => {
    await savePhotos(id, round.photos, about);
    await saveVoices(id, voices);
  };

  /** @param {import('../../field/photos.js').TakenIn} taken @param {Record<string, any>} of  with the detail that it was aimed at */
  const onPhoto = async (taken, of) => {
    if (before) await savePhoto(id, taken, { ...of, of: before.id });
    else await change({ photos: [...round.photos, of.detail ? { ...taken, detail: of.detail } : taken], begun: true });
  };

  const keys = html`
    <${MoreBelow} />
    <div class=${`findings ${unasked ? 'too-early' : ''}`} role="group" aria-label="Finding">
      ${check.findings.map(
        (one) =>
          html`<button
            type="button"
            class=${`key tall ${before && finding === one.value ? 'chosen' : ''}`}
            key=${one.value}
            onClick=${(/** @type {any} */ event) => void found(one.value, event.currentTarget)}
          ><${FindingSketch} check=${check.key} finding=${one.value} />${one.label}</button>`,
      )}
    </div>
    <div class="round-tools">
      <button
        type="button"
        class="key"
        disabled=${at === 0}
        onClick=${() => void goTo(at - 1)}
      ><${Icon} name="back" />Back</button>
      <${PhotoButton}
        caseId=${id}
        about=${about}
        onTaken=${onPhoto}
        words=${phrase('{check}, {station}', { check: check.label, station: station.words })}
        opened=${Boolean(round.filming) && !before && !round.photos.length}
        onOpened=${(/** @type {boolean} */ filming) => void change({ filming })}
      />
      <button
        type="button"
        class="key"
        aria-expanded=${noting}
        onClick=${() => setNoting(!noting)}
      ><${Icon} name="note" />Note</button>
      <button type="button" class="key" onClick=${() => void skip()}>Skip</button>
    </div>
  `;
  const byPhone =
    asksHow &&
    html`<${MeasuredDrop}
      id=${id}
      cylinder=${station.cylinder}
      cylinders=${stations.length}
      baseline=${round.baseline}
      onBaseline=${(/** @type {import('./measured-drop.js').Baseline} */ baseline) => change({ baseline })}
      rpm=${reading.rpm_before}
      finding=${check.findings.find((one) => one.value === measured?.finding)?.label ?? ''}
      onMeasured=${setMeasured}
      onTake=${(/** @type {HTMLElement} */ key) => void found(measured?.finding, key)}
    />`;
  return html`<${CaseScreen} id=${id} title=${check.label} needsView=${true} keys=${keys} class="round">
    <${RoundProgress}
      check=${check}
      stations=${stations}
      at=${at}
      entries=${entries}
      round=${round}
      onGo=${(/** @type {number} */ index) => void goTo(index)}
    />
    <div class="station-row">
      <div class="station" aria-live="polite">
        <p class="station-number" aria-hidden="true">${station.number}</p>
        <h2 class="station-words">${station.words}</h2>
        ${
          known &&
          html`<p class="soft">
          Found: ${foundWords(check, known.body, finding)}. ${before ? phrase('Another key replaces it.') : phrase('Recorded on its own; “Skip” leaves it so.')}
        </p>`
        }
      </div>
      ${
        stations.length > 1 &&
        html`<button
          type="button"
          class="key quiet"
          onClick=${() => reorder(round.order === 'firing' ? 'number' : 'firing')}
        >${round.order === 'firing' ? phrase('By number') : phrase('By firing order')}</button>`
      }
    </div>
    ${
      asksHow &&
      html`<${DisabledBy}
          value=${disabled}
          missing=${missing}
          onChange=${(/** @type {string} */ how) => {
            changeSettings({ disabledBy: how });
            setOtherWay(true);
            void change({ disabled: how });
          }}
        />
        <${CodesFirst} id=${id} entries=${entries} />`
    }
    <${Caution} check=${check} way=${disabled} again=${(round.begun && !otherWay) || readTodayIn(entries, check, disabled)} />
    ${byPhone}
    <div class="stack close readings" ref=${readings} onKeyDown=${byEnter}>
      <${ReadingFields} check=${check} form=${form} />
      ${
        hasReading(check, reading) &&
        html`<${KeepReading}
          check=${check}
          body=${{ check: check.key, ...where, ...read, round: round.id }}
          onKeep=${(/** @type {HTMLElement} */ key) => void found(undefined, key)}
        />`
      }
      ${meant.question}
    </div>
    ${
      counted &&
      html`<${ConditionsField}
      check=${check}
      form=${formOver({ conditions }, (__, value) => void change({ conditions: value ?? [] }))}
    />`
    }
    ${
      noting &&
      html`<${PlainField}
      label="Note"
      lines=${true}
      value=${round.note}
      onInput=${(/** @type {string} */ note) => void change({ note })}
    />
    <${HeldVoices} caseId=${id} voices=${voices} onChange=${(/** @type {any[]} */ changed) => void change({ voices: changed })} />`
    }
    <${HeldPhotos}
      photos=${round.photos}
      words=${(/** @type {number} */ n) => phrase('{words}, photo {n}, kept with the finding', { words: station.words, n })}
      onChange=${(/** @type {any[]} */ photos) => void change({ photos })}
    />
    <${Thumbs}
      caseId=${id}
      photos=${keptHere.map((/** @type {any} */ { sha256 }) => ({ sha256, alt: phrase('{words}, photo taken before', { words: station.words }) }))}
    />
    <${CheckIntro} check=${check} again=${round.begun} />
  <//>`;
}

/**
 * What the fields of a cylinder begin with: what was kept there, else the speed before, which is the same for all of them.
 * @param {import('../declared.js').Check} check
 * @param {import('../../field/log.js').Entry | undefined} before
 * @param {import('../rounds.js').Round} round
 * @param {import('../../field/log.js').Entry[]} entries
 * @returns {Record<string, any>}
 */
function startingFrom(check, before, round, entries) {
  const kept = Object.entries(before?.body ?? {}).filter(([name]) => check.fields.includes(name) && !RANGE.includes(name));
  if (kept.length) return Object.fromEntries(kept);
  const speed = check.fields.includes('rpm_before') ? (round.speed ?? speedBefore(entries)) : undefined;
  return speed === undefined ? {} : { rpm_before: speed };
}

/** @param {import('../declared.js').Check} check @param {Record<string, any>} body @param {string} [finding]  given, or what the reading came to */
function foundWords(check, body, finding) {
  const label = check.findings.find((one) => one.value === finding)?.label;
  return [label, figuresOf(body)].filter(Boolean).join(', ') || phrase('a reading');
}

/** The field to go on in: the first that is empty. @param {HTMLElement | null} within */
function firstEmpty(within) {
  const fields = [...(within?.querySelectorAll('input') ?? [])];
  return fields.find(({ value }) => !value) ?? fields[0];
}
