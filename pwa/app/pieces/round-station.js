/** One cylinder of a round: what to look at, and a key for each finding. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { html } from '../html.js';
import { photoBody, savePhoto } from '../photo-entries.js';
import { entryAt, showsFor } from '../rounds.js';
import { saveAll } from '../saving.js';
import { changeSettings } from '../settings.js';
import { sayTrouble } from '../said.js';
import { phrase } from '../tongue.js';
import { FindingSketch } from '../sketches.js';
import { CaseScreen } from './case-screen.js';
import { Caution, CheckIntro } from './check-intro.js';
import { DisabledBy } from './disabled-by.js';
import { Icon } from './icon.js';
import { MeasuredDrop } from './measured-drop.js';
import { PhotoButton } from './photo-button.js';
import { PlainField } from './plain-field.js';
import { formOver, hasReading, KeepReading, RANGE, ReadingFields, readingOf } from './reading-fields.js';
import { RoundProgress } from './round-progress.js';
import { Picture } from './thumbs.js';

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
 * @param {(part: Partial<import('../rounds.js').Round>) => Promise<void>} props.change
 * @param {(order: 'number' | 'firing') => void} props.reorder
 */
export function Station({ id, check, round, stations, at, entries, change, reorder }) {
  const station = stations[at];
  const before = entryAt(entries, round.id, station);
  const [noting, setNoting] = useState(Boolean(round.note));
  const [reading, setReading] = useState(/** @type {Record<string, any>} */ ({}));
  const [problems, setProblems] = useState(/** @type {import('../../field/kinds.js').Problem[]} */ ([]));
  const [busy, setBusy] = useState(false);
  const [measured, setMeasured] = useState(/** @type {import('../../field/core.js').Answer | null} */ (null));
  const [asked, setAsked] = useState(false);
  const asksHow = check.key === 'drop';
  const about = {
    shows: showsFor(check),
    ...(station.place ? { place: station.place } : { cylinder: station.cylinder }),
  };

  const { shows: _, ...where } = about;
  // A range alone is not kept with a finding: there is no reading that it belongs to.
  const read = hasReading(check, reading) ? readingOf({ ...round.range, ...reading }) : {};
  const form = formOver(
    { ...round.range, ...reading },
    (path, value) => {
      setProblems(problems.filter((problem) => problem.field !== path));
      if (RANGE.includes(path)) void change({ range: { ...round.range, [path]: value || undefined } });
      else setReading({ ...reading, [path]: value });
    },
    problems,
  );

  /** @param {string} [finding] */
  const found = async (finding) => {
    if (asksHow && !round.disabled) {
      setAsked(true);
      return sayTrouble(phrase('Say first how the cylinder is disabled.'));
    }
    setBusy(true);
    const body = {
      check: check.key,
      ...where,
      ...(finding ? { finding } : {}),
      ...read,
      ...(reading.rpm_during === undefined ? measured?.body : {}), // what a tachometer showed comes first
      ...(asksHow ? { disabled: round.disabled } : {}),
      ...(round.note.trim() ? { note: round.note.trim() } : {}),
      round: round.id,
    };
    /** @type {import('../../field/log.js').Draft[]} */
    const drafts = [{ case: id, kind: 'check', body }];
    if (before) drafts.push({ case: id, kind: 'struck', body: { entry: before.id, why: FOUND_ANEW } });
    const { entries: saved, problems: refused } = await saveAll(drafts);
    setProblems(refused);
    if (saved.length) {
      if (round.photos.length)
        await saveAll(
          round.photos.map((photo) => ({
            case: id,
            kind: 'photo',
            body: photoBody(photo, { ...about, of: saved[0].id }),
          })),
        );
      await change({ at: at + 1, begun: true, note: '', photos: [], typing: !finding });
    }
    setBusy(false);
  };

  // Whoever types readings goes on typing: Enter keeps one, and the field of the next cylinder waits for its own.
  const readings = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => {
    if (round.typing) readings.current?.querySelector('input')?.focus();
  }, []);
  /** @param {KeyboardEvent} event */
  const byEnter = (event) => {
    if (event.key !== 'Enter' || !(event.target instanceof HTMLInputElement) || busy || !hasReading(check, reading)) return;
    event.preventDefault();
    void found();
  };

  const skip = async () => {
    await loosePhotos();
    await change({ at: at + 1, begun: true, photos: [] });
  };
  const back = async () => {
    await loosePhotos();
    await change({ at: at - 1, photos: [] });
  };
  /** Photos of a cylinder without a finding stand alone. */
  const loosePhotos = async () => {
    if (round.photos.length)
      await saveAll(round.photos.map((photo) => ({ case: id, kind: 'photo', body: photoBody(photo, about) })));
  };

  /** @param {import('../../field/photos.js').TakenIn} taken @param {Record<string, any>} of  with the detail that it was aimed at */
  const onPhoto = async (taken, of) => {
    if (before) await savePhoto(id, taken, { ...of, of: before.id });
    else await change({ photos: [...round.photos, of.detail ? { ...taken, detail: of.detail } : taken], begun: true });
  };

  const keys = html`
    <div class="findings" role="group" aria-label="Finding">
      ${check.findings.map(
        (one) =>
          html`<button
            type="button"
            class=${`key tall ${before?.body.finding === one.value ? 'chosen' : ''}`}
            key=${one.value}
            disabled=${busy}
            onClick=${() => void found(one.value)}
          ><${FindingSketch} check=${check.key} finding=${one.value} />${one.label}</button>`,
      )}
    </div>
    <div class="round-tools">
      <button
        type="button"
        class="key"
        disabled=${at === 0}
        onClick=${() => void back()}
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
      onTake=${() => void found(measured?.finding)}
      busy=${busy}
    />`;
  return html`<${CaseScreen} id=${id} title=${check.label} needsView=${true} keys=${keys} class="round">
    <${RoundProgress}
      stations=${stations}
      at=${at}
      entries=${entries}
      round=${round}
      onGo=${(/** @type {number} */ index) => void change({ at: index })}
      reorder=${reorder}
    />
    <div class="station" aria-live="polite">
      <p class="station-number" aria-hidden="true">${station.number}</p>
      <h2 class="station-words">${station.words}</h2>
      ${
        before &&
        html`<p class="soft">
        Found: ${check.findings.find((one) => one.value === before.body.finding)?.label ?? phrase('a reading')}. Another key replaces it.
      </p>`
      }
    </div>
    <${Caution} check=${check} again=${round.begun} />
    ${round.baseline && byPhone}
    ${
      asksHow &&
      html`<${DisabledBy} value=${round.disabled} missing=${asked && !round.disabled} onChange=${(
        /** @type {string} */ how,
      ) => {
        changeSettings({ disabledBy: how });
        void change({ disabled: how });
      }} />`
    }
    ${!round.baseline && byPhone}
    <div class="stack close readings" ref=${readings} onKeyDown=${byEnter}>
      <${ReadingFields} check=${check} form=${form} />
      ${
        hasReading(check, reading) &&
        html`<${KeepReading}
          check=${check}
          body=${{ check: check.key, ...where, ...read, round: round.id }}
          busy=${busy}
          onKeep=${() => void found()}
        />`
      }
    </div>
    ${
      noting &&
      html`<${PlainField}
      label="Note"
      lines=${true}
      value=${round.note}
      onInput=${(/** @type {string} */ note) => void change({ note })}
    />`
    }
    ${
      round.photos.length > 0 &&
      html`<ul class="thumbs">
      ${round.photos.map(
        (photo, index) => html`<li key=${photo.sha256}>
        <${Picture} sha256=${photo.sha256} alt=${phrase('{words}, photo {n}, kept with the finding', { words: station.words, n: index + 1 })} />
      </li>`,
      )}
    </ul>`
    }
    ${!round.begun && html`<${CheckIntro} id=${id} check=${check} entries=${entries} />`}
  <//>`;
}
