/** Parts change places on the drawn engine: pick one up, put it down. Two that change places are one entry. */
import { useEffect, useState } from 'preact/hooks';
import { servedBy } from '../case-look.js';
import { field } from '../declared.js';
import { EngineDrawing } from '../engine-drawing.js';
import { html } from '../html.js';
import { movedAway, movesWords, moveWords, puttingBack, standing, swapped } from '../moving.js';
import { openCase } from '../open-case.js';
import { BeforeArrival } from '../pieces/before-arrival.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { ChoiceField, Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { MoveByList } from '../pieces/move-by-list.js';
import { Notice } from '../pieces/notice.js';
import { Trails } from '../pieces/trails.js';
import { TurnKey } from '../pieces/turn-key.js';
import { goInstead, home } from '../route.js';
import { save } from '../saving.js';
import { settings } from '../settings.js';
import { phrase } from '../tongue.js';
import { placeWords, sentence, thePart } from '../words.js';

/** @param {{id: string, parts?: string[]}} props  `parts` "back": what a test has moved goes back, filled in */
export function Moves({ id, parts = [] }) {
  const form = useForm(`form/${id}/moves`, () => ({ kind: 'coil' }));
  const [picked, setPicked] = useState(/** @type {string | null} */ (null));
  const [busy, setBusy] = useState(false);
  const { view, entries } = openCase.value ?? {};
  const back = parts[0] === 'back' && form.ready && !form.values.back && view?.timeline.length === entries?.length; // else it may know of no move yet
  useEffect(() => {
    if (back) for (const [name, value] of Object.entries({ ...puttingBack(view), back: true })) form.set(name, value);
  }, [back]);
  if (!view || !form.ready) return html`<${CaseScreen} id=${id} title="Move parts" needsView=${true} />`;

  const kind = form.values.kind ?? 'coil';
  /** @type {import('../moving.js').Move[]} */
  const moves = form.values.moves ?? [];

  /** A tap on a place: pick up what sits there, put down what is held, or put it back. @param {string} place */
  const tap = (place) => {
    if (!picked) return setPicked(place);
    if (picked !== place) move(picked, place);
    setPicked(null);
  };
  /** @param {string} from @param {string} where  a place, or off the engine, or not known */
  const move = (from, where) => {
    const swap = where.includes('.');
    form.set('moves', swap ? swapped(view, moves, from, where) : movedAway(view, moves, from, where));
  };
  /** @param {string} where */
  const away = (where) => {
    if (picked) move(picked, where);
    setPicked(null);
  };

  const record = async () => {
    setBusy(true);
    const { moves: _, kind: __, back: ___, before, ...rest } = form.values;
    const draft = {
      case: id,
      kind: 'parts_moved',
      body: { ...rest, moves },
      when: before ? { before_arrival: Number(before) } : null,
    };
    const { entries, problems } = await save(draft);
    setBusy(false);
    if (!entries.length) return form.refuse(problems);
    await form.done();
    goInstead(home(id));
  };

  /** @param {string} place */
  const look = (place) => {
    const held = standing(view, moves, place);
    return {
      label: `${sentence(placeWords(place))}: ${picked === place ? phrase('{words}, picked up', { words: held.words }) : held.words}`,
      mark: held.mark,
      from: held.moved && held.mark !== 'new' && !held.empty ? phrase('from {mark}', { mark: held.mark }) : '',
      moved: held.moved,
      empty: held.empty,
      picked: picked === place,
      onPick: () => tap(place),
    };
  };

  const told = !picked
    ? phrase('Tap {part} to pick up.', { part: thePart(kind) })
    : phrase('Holding {words}. Tap where it goes.', { words: standing(view, moves, picked).words });
  const kinds = (field('part_noted', 'kind').choices ?? []).filter(
    (one) => kind === one.value || one.value !== 'boot' || view.engine.ignition !== 'distributor',
  );
  const keys = html`<button
    type="button"
    class="key main wide tall"
    disabled=${busy || !moves.length}
    onClick=${() => void record()}
  >${moves.length ? phrase('Record: {moves}', { moves: movesWords(view.engine, moves) }) : phrase('Nothing moved yet')}</button>`;
  return html`<${CaseScreen} id=${id} title="Move parts" keys=${keys}>
    <div class="stack">
      <${ChoiceField} field=${{ type: 'choice', label: phrase('What moves'), choices: kinds }} path="kind" form=${{
        ...form,
        set: (/** @type {string} */ path, /** @type {any} */ value) => {
          form.set(path, value);
          form.set('moves', undefined);
          setPicked(null);
        },
      }} />
      <p>Engine and ignition off; let hot parts cool.</p>
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
        <button
          type="button"
          class="key"
          disabled=${!picked}
          onClick=${() => away('unknown')}
        >Where it went is not known</button>
      </div>
      ${
        moves.length > 0 &&
        html`<${Notice} title="To be recorded">
        <ul>
          ${moves.map(
            (move) => html`<li key=${`${move.from}-${move.part ?? ''}`}>
            ${sentence(moveWords(view.engine, move))} ${servedWords(view, move.to)}
          </li>`,
          )}
        </ul>
        <button type="button" class="key" onClick=${() => form.set('moves', undefined)}>Start the moves over</button>
      <//>`
      }
      ${form.problemAt('moves') && html`<p class="problem" role="alert">${form.problemAt('moves')}</p>`}
      <${MoveByList}
        view=${view}
        kind=${kind}
        onMove=${move}
      />
      ${
        kind === 'coil' &&
        view.engine.ignition === 'coil_on_plug' &&
        html`<${Field}
        kind="parts_moved"
        path="boot_stays"
        form=${form}
      />`
      }
      <${BeforeArrival} form=${form} />
      <${Field} kind="parts_moved" path="note" form=${form} />
      <${Trails} id=${id} view=${view} kind=${kind} />
    </div>
  <//>`;
}

/** @param {any} view @param {string} place */
function servedWords(view, place) {
  const served = servedBy(view.engine, place);
  return served.length > 1 ? phrase('(cylinders {served})', { served: served.join(phrase(' and ')) }) : '';
}
