/** Parts change places on the drawn engine: pick one up, put it down. Two that change places are one entry. */
import { useState } from 'preact/hooks';
import { partAt, placesOf, servedBy } from '../case-look.js';
import { field } from '../declared.js';
import { EngineDrawing } from '../engine-drawing.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { ChoiceField, Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { Notice } from '../pieces/notice.js';
import { Trails } from '../pieces/trails.js';
import { TurnKey } from '../pieces/turn-key.js';
import { goInstead, to } from '../route.js';
import { save } from '../saving.js';
import { settings } from '../settings.js';
import { partKind, placeWords, sentence } from '../words.js';

/** @typedef {{part?: string, from: string, to: string}} Move */

/** @param {{id: string}} props */
export function Moves({ id }) {
  const form = useForm(`form/${id}/moves`, () => ({ kind: 'coil' }));
  const [picked, setPicked] = useState(/** @type {string | null} */ (null));
  const [busy, setBusy] = useState(false);
  const view = openCase.value?.view;
  if (!view || !form.ready) return html`<${CaseScreen} id=${id} title="Move parts" needsView=${true} />`;

  const kind = form.values.kind ?? 'coil';
  /** @type {Move[]} */
  const moves = form.values.moves ?? [];
  const name = partKind(kind).toLowerCase();

  /** A tap on a place: pick up what sits there, put down what is held, or put it back. @param {string} place */
  const tap = (place) => {
    if (!picked) return setPicked(place);
    if (picked !== place) form.set('moves', swapped(view, moves, picked, place));
    setPicked(null);
  };
  /** @param {string} where */
  const away = (where) => {
    if (picked) form.set('moves', movedAway(view, moves, picked, where));
    setPicked(null);
  };

  const record = async () => {
    setBusy(true);
    const { moves: _, kind: __, before, ...rest } = form.values;
    const draft = { case: id, kind: 'parts_moved', body: { ...rest, moves }, when: before ? { before_arrival: Number(before) } : null };
    const { entries, problems } = await save(draft);
    setBusy(false);
    if (!entries.length) return form.refuse(problems);
    await form.done();
    goInstead(to('case', id));
  };

  /** @param {string} place */
  const look = (place) => {
    const held = standing(view, moves, place);
    return {
      label: `${sentence(placeWords(place))}: ${held.words}${picked === place ? ', picked up' : ''}`,
      mark: held.mark,
      from: held.moved && held.mark !== 'new' && !held.empty ? `from ${held.mark}` : '',
      moved: held.moved,
      empty: held.empty,
      picked: picked === place,
      onPick: () => tap(place),
    };
  };

  const told = !picked ? `Tap the ${name} to pick up.` : `Holding ${standing(view, moves, picked).words}. Tap where it goes.`;
  const kinds = (field('part_noted', 'kind').choices ?? []).filter((one) => kind === one.value || one.value !== 'boot' || view.engine.ignition !== 'distributor');
  const keys = html`<button type="button" class="key main wide tall" disabled=${busy || !moves.length} onClick=${() => void record()}>${moves.length ? `Record: ${movesWords(moves)}` : 'Nothing moved yet'}</button>`;
  return html`<${CaseScreen} id=${id} title="Move parts" keys=${keys}>
    <div class="stack">
      <${ChoiceField} field=${{ type: 'choice', label: 'What moves', choices: kinds }} path="kind" form=${{ ...form, set: (/** @type {string} */ path, /** @type {any} */ value) => { form.set(path, value); form.set('moves', undefined); setPicked(null); } }} />
      <p class="told-big" role="status">${told}</p>
      <div class="drawing-with-key">
        <${EngineDrawing}
          engine=${view.engine}
          orientation=${view.orientation}
          turned=${Boolean(settings.value.turned[id])}
          label="Engine from above: pick up a part and put it down"
          coil=${kind === 'coil' ? (/** @type {number} */ position) => look(`coil.${position}`) : undefined}
          inBore=${kind === 'coil' ? undefined : (/** @type {number} */ cylinder) => look(`${kind}.${cylinder}`)}
        />
        <${TurnKey} id=${id} />
      </div>
      <div class="keys">
        <button type="button" class="key" disabled=${!picked} onClick=${() => away('off')}>Off the engine</button>
        <button type="button" class="key" disabled=${!picked} onClick=${() => away('unknown')}>Where it went is not known</button>
      </div>
      ${moves.length > 0 &&
      html`<${Notice} title="To be recorded">
        <ul>${moves.map((move) => html`<li key=${`${move.from}-${move.part ?? ''}`}>${sentence(placeWords(move.from))} to ${placeWords(move.to)}${servedWords(view, move.to)}</li>`)}</ul>
        <button type="button" class="key" onClick=${() => form.set('moves', undefined)}>Put everything back</button>
      <//>`}
      ${form.problemAt('moves') && html`<p class="problem" role="alert">${form.problemAt('moves')}</p>`}
      <${ByList} view=${view} kind=${kind} onMove=${(/** @type {string} */ from, /** @type {string} */ where) => form.set('moves', where.includes('.') ? swapped(view, moves, from, where) : movedAway(view, moves, from, where))} />
      ${kind === 'coil' && view.engine.ignition === 'coil_on_plug' && html`<${Field} kind="parts_moved" path="boot_stays" form=${form} />`}
      <${Before} form=${form} />
      <${Field} kind="parts_moved" path="note" form=${form} />
      <${Trails} id=${id} view=${view} kind=${kind} />
    </div>
  <//>`;
}

/** What sits at a place once the moves at hand are made. @param {any} view @param {Move[]} moves @param {string} place */
function standing(view, moves, place) {
  const arrived = moves.find((move) => move.to === place);
  if (arrived) {
    const came = partAt(view, arrived.from);
    return { ...came, moved: came.mark !== place.split('.')[1] };
  }
  if (moves.some((move) => move.from === place)) return { ...partAt(view, place), id: null, mark: '–', moved: false, empty: true, words: 'empty' };
  return partAt(view, place);
}

/** Where the part now standing at a place came from in the log, before the moves at hand. @param {Move[]} moves @param {string} place */
function originOf(moves, place) {
  return moves.find((move) => move.to === place)?.from ?? (moves.some((move) => move.from === place) ? null : place);
}

/** The moves after two places changed what they hold. @param {any} view @param {Move[]} moves @param {string} one @param {string} two @returns {Move[]} */
function swapped(view, moves, one, two) {
  const fromOne = originOf(moves, one);
  const fromTwo = originOf(moves, two);
  const others = moves.filter((move) => move.to !== one && move.to !== two);
  return [...others, ...moveOf(view, fromOne, two), ...moveOf(view, fromTwo, one)];
}

/** @param {any} view @param {Move[]} moves @param {string} place @param {string} where @returns {Move[]} */
function movedAway(view, moves, place, where) {
  const from = originOf(moves, place);
  return [...moves.filter((move) => move.to !== place), ...moveOf(view, from, where)];
}

/** @param {any} view @param {string | null} from @param {string} where @returns {Move[]} */
function moveOf(view, from, where) {
  if (!from || from === where) return [];
  const { id } = partAt(view, from);
  return id ? [{ part: id, from, to: where }] : [];
}

/** @param {Move[]} moves */
function movesWords(moves) {
  const [one, two] = moves;
  if (moves.length === 2 && one.from === two.to && one.to === two.from) return `swap ${placeWords(one.from)} and ${placeWords(two.from).split(' ').at(-1)}`;
  if (moves.length === 1) return `${placeWords(one.from)} to ${placeWords(one.to)}`;
  return `${moves.length} moves`;
}

/** @param {any} view @param {string} place */
function servedWords(view, place) {
  const served = servedBy(view.engine, place);
  return served.length > 1 ? ` (cylinders ${served.join(' and ')})` : '';
}

/** The same without the drawing: two lists and a key. @param {{view: any, kind: string, onMove: (from: string, where: string) => void}} props */
function ByList({ view, kind, onMove }) {
  const places = placesOf(view.engine, kind);
  const [from, setFrom] = useState(places[0]);
  const [where, setWhere] = useState(places[1] ?? 'off');
  const options = [...places, 'off', 'unknown'];
  return html`<details class="more">
    <summary>Move by choosing from lists</summary>
    <div class="stack close">
      <div class="side-by-side">
        <div class="field"><label for="move-from">From</label>
          <select id="move-from" value=${from} onChange=${(/** @type {any} */ event) => setFrom(event.target.value)}>${places.map((place) => html`<option key=${place} value=${place}>${sentence(placeWords(place))}</option>`)}</select></div>
        <div class="field"><label for="move-to">To</label>
          <select id="move-to" value=${where} onChange=${(/** @type {any} */ event) => setWhere(event.target.value)}>${options.map((place) => html`<option key=${place} value=${place}>${sentence(placeWords(place))}</option>`)}</select></div>
      </div>
      <button type="button" class="key" disabled=${from === where} onClick=${() => onMove(from, where)}>${where.includes('.') ? 'Swap these two' : 'Move it there'}</button>
    </div>
  </details>`;
}

/** Moves that happened before the mechanic came: the latest of them is number 1 counted from the first. @param {{form: import('../pieces/form.js').Form}} props */
function Before({ form }) {
  const before = form.values.before;
  return html`<div class="stack close">
    <label class="choice"><input type="checkbox" checked=${Boolean(before)} onChange=${() => form.set('before', before ? undefined : 1)} /><span>This was done before I arrived</span></label>
    ${before && html`<div class="field">
      <label for="before-order">Which of the moves before arrival, the first being 1</label>
      <input id="before-order" type="text" inputmode="numeric" value=${before} onInput=${(/** @type {any} */ event) => form.set('before', Number(event.target.value.replace(/\D/g, '')) || 1)} />
    </div>`}
  </div>`;
}
