/** The case at one glance: the engine as it stands, the next step, what it may be, and the story. */
import { useEffect, useMemo, useState } from 'preact/hooks';
import { fetchCase } from '../../field/fetch-case.js';
import { caseListing } from '../case-list.js';
import { useTurns } from '../by-turns.js';
import { boreLook, coilLook } from '../case-look.js';
import { EngineDrawing } from '../engine-drawing.js';
import { html } from '../html.js';
import { openCase, thinkAgain } from '../open-case.js';
import { CaseKeys } from '../pieces/case-keys.js';
import { CodesNow } from '../pieces/codes-now.js';
import { Explanations } from '../pieces/explanations.js';
import { HalfDone } from '../pieces/half-done.js';
import { NextStep } from '../pieces/next-step.js';
import { Notice } from '../pieces/notice.js';
import { OneOrSet } from '../pieces/one-or-set.js';
import { Questions } from '../pieces/questions.js';
import { SameVehicle } from '../pieces/same-vehicle.js';
import { Screen } from '../pieces/screen.js';
import { Story } from '../pieces/story.js';
import { Trust } from '../pieces/trust.js';
import { TitleBlock } from '../pieces/title-block.js';
import { TurnKey } from '../pieces/turn-key.js';
import { to } from '../route.js';
import { settings } from '../settings.js';
import { phrase } from '../tongue.js';
import { useWide } from '../wide.js';
import { percent } from '../words.js';

const SHOWS_FIXED = ['repair', 'road_test', 'codes_cleared', 'codes_read'];

/** @param {{id: string}} props */
export function CaseHome({ id }) {
  const wide = useWide();
  const open = openCase.value;
  const turn = useTurns(Boolean(open?.entries?.length && (open.view || open.viewTrouble)), 4);
  const summary = caseListing.value.cases?.find((one) => one.case === id);
  const view = open?.view;
  const closed = (view?.status ?? summary?.status) === 'closed';
  // Each part is drawn anew only when the case is another one, not at each turn.
  const given = [open, closed, wide];
  const engine = turn > 1;
  const drawn = useMemo(() => open && html`<${Drawn} open=${open} closed=${closed} wide=${wide} engine=${engine} />`, [...given, engine]);
  const thought = useMemo(() => open && html`<${Thought} open=${open} closed=${closed} wide=${wide} />`, given);
  const kept = useMemo(() => open && html`<${Kept} open=${open} />`, given);
  const title = view?.title ?? summary?.title ?? phrase('Case');
  if (!open || !open.entries)
    return html`<${Screen} title=${title} back=${to()}><p class="soft" aria-busy="true">Reading the case</p><//>`;
  if (!open.entries.length)
    return html`<${NotHere} id=${id} />`;
  // Nothing below the drawing until it stands, so that nothing moves away under a thumb.
  const told = view || open.viewTrouble;
  return html`<${Screen}
    title=${title}
    back=${to()}
    aside=${closed && html`<span class="stamp">${view?.unrepaired ? phrase('Closed, not repaired') : phrase('Closed')}</span>`}
    keys=${html`<${CaseKeys} id=${id} closed=${closed} wide=${wide} />`}
    class="case-home"
  >
    ${
      open.viewTrouble &&
      html`<${Notice} tone="warn" title="The case could not be put together">
      <p>${open.viewTrouble} Recording works all the same.</p>
      <button type="button" class="key" onClick=${thinkAgain}>Ask again</button>
    <//>`
    }
    <div class="case-columns">${drawn}${told && turn > 2 && thought}${told && turn > 3 && kept}</div>
  <//>`;
}

/** @typedef {{open: import('../open-case.js').OpenCase, closed: boolean, wide: boolean}} Given */

/**
 * The car, the engine as it stands and, on a phone, the next step above it: the drawing would push it off the screen.
 * @param {Given & {engine: boolean}} props  `engine`: it is its turn
 */
function Drawn({ open, closed, wide, engine }) {
  const { id, view, viewTrouble, diagnosis } = open;
  return html`<div class="case-drawn stack">
    ${view && html`<${TitleBlock} view=${view} />`}
    ${!wide && (view || viewTrouble) && html`<${HalfDone} open=${open} /><${NextStep} open=${open} closed=${closed} />`}
    ${
      view &&
      engine &&
      html`<div class="drawing-with-key">
      <${EngineDrawing}
        engine=${view.engine}
        orientation=${view.orientation}
        turned=${Boolean(settings.value.turned[id])}
        label=${phrase('Engine from above, {cylinders} cylinders', { cylinders: view.engine.cylinders })}
        bore=${(/** @type {number} */ cylinder) => boreLook(view, diagnosis, cylinder)}
        coil=${(/** @type {number} */ position) => coilLook(view, position)}
      />
      <${TurnKey} id=${id} />
    </div>`
    }
    ${
      !view &&
      !viewTrouble &&
      html`<div
      class="drawing waiting"
      aria-busy="true"
    ><p>Drawing the engine</p></div>`
    }
  </div>`;
}

/** What it may be and what to do. @param {Given} props */
function Thought({ open, closed, wide }) {
  const { id, view, diagnosis } = open;
  return html`<div class=${`case-thought stack ${diagnosis || closed ? '' : 'coming'}`}>
    ${wide && html`<${HalfDone} open=${open} />`}
    <${Questions} id=${id} questions=${view?.questions ?? []} />
    <${Doubts} id=${id} doubts=${view?.doubts ?? []} />
    ${closed && view?.closing && html`<${Closing} id=${id} view=${view} />`}
    ${wide && html`<${NextStep} open=${open} closed=${closed} />`}
    <${Fixed} open=${open} />
    <${Explanations} open=${open} />
    <${Trust} open=${open} />
    <${OneOrSet} replacement=${diagnosis?.replacement} />
    <${Contradictions} id=${id} rows=${diagnosis?.contradictions ?? []} />
  </div>`;
}

/** What was read and recorded. @param {{open: import('../open-case.js').OpenCase}} props */
function Kept({ open }) {
  const { id, view } = open;
  return html`<div class="case-kept stack">
    ${view && html`<${SameVehicle} id=${id} vehicle=${view.vehicle} />`}
    ${view && html`<${CodesNow} codes=${view.codes} />`}
    <${Story} open=${open} />
  </div>`;
}

/** @param {{id: string}} props */
function NotHere({ id }) {
  const [trouble, setTrouble] = useState('');
  const fetchIt = () => {
    setTrouble('');
    fetchCase(id).catch((problem) => setTrouble(problem.message));
  };
  useEffect(fetchIt, [id]);
  return html`<${Screen} title="Not on this device" back=${to()}>
    ${
      trouble
        ? html`<${Notice} tone="warn" title="It could not be fetched">
          <p>${trouble}</p>
          <button type="button" class="key" onClick=${fetchIt}>Try again</button>
        <//>`
        : html`<p class="soft" aria-busy="true">Fetching the case from the shop</p>`
    }
  <//>`;
}

/** The bench found a part good that the case blames. @param {{id: string, doubts: any[]}} props */
function Doubts({ id, doubts }) {
  if (!doubts.length) return null;
  return html`<${Notice} tone="warn" title="The cause is in doubt">
    <ul>
      ${doubts.map((doubt) => html`<li key=${doubt.part}><a href=${to('case', id, 'part', doubt.part)}>${doubt.text}</a></li>`)}
    </ul>
  <//>`;
}

/** How it was closed, and what is left. @param {{id: string, view: any}} props */
function Closing({ id, view: { closing, unrepaired, left_words: left = [] } }) {
  return html`<${Notice} tone=${unrepaired ? 'warn' : 'well'} title=${unrepaired ? phrase('Closed, not repaired') : phrase('Closed')}>
    <p>${closing.cause}</p>
    ${
      left.length > 0 &&
      html`<p><strong>Left for later</strong></p>
        <ul>${left.map((/** @type {string} */ words, /** @type {number} */ index) => html`<li key=${index}>${words}</li>`)}</ul>`
    }
    <a class="key" href=${to('case', id, 'report')}>The owner's report</a>
  <//>`;
}

/** @param {{open: import('../open-case.js').OpenCase}} props */
function Fixed({ open: { id, view, diagnosis } }) {
  const fixed = diagnosis?.fixed;
  if (!fixed) return null;
  const rests = (view?.timeline ?? []).filter((/** @type {any} */ row) => SHOWS_FIXED.includes(row.kind) && !row.struck);
  return html`<section class="fixed" aria-label="Is it fixed">
    <h2>Is it fixed</h2>
    <p>${fixed.driven > 0 && html`<strong>${percent(fixed.p)}:</strong> `}${fixed.text}</p>
    ${
      rests.length > 0 &&
      html`<details class="more">
      <summary>What it rests on</summary>
      <ul class="ruled">
        ${rests.map((/** @type {any} */ row) => html`<li class="finding-row" key=${row.id}><a href=${to('case', id, 'entry', row.id)}>${row.text}</a></li>`)}
      </ul>
    </details>`
    }
  </section>`;
}

/** @param {{id: string, rows: any[]}} props */
function Contradictions({ id, rows }) {
  if (!rows.length) return null;
  return html`<${Notice} tone="warn" title="These do not fit together">
    <ul>
      ${rows.map(
        (row) => html`<li key=${row.text}>
        ${row.entries?.length ? html`<a href=${to('case', id, 'entry', row.entries[0])}>${row.text}</a>` : row.text}
      </li>`,
      )}
    </ul>
  <//>`;
}
