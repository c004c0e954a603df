/** Labels as one file: of parts that wait on the shelf, those chosen together; and of new tags, printed ahead on a roll or on sheets, to be bound beside the car by a scan, also without a signal. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { changePrinter, PAPERS, printer } from '../label-size.js';
import { FromShop, More, useFromShop } from '../pieces/from-shop.js';
import { LabelFields } from '../pieces/label-fields.js';
import { PlainField } from '../pieces/plain-field.js';
import { Screen } from '../pieces/screen.js';
import { Select } from '../pieces/select.js';
import { openFile } from '../print-file.js';
import { to } from '../route.js';
import { say } from '../said.js';
import { tagWords } from '../tag-words.js';
import { phrase } from '../tongue.js';
import { nearestBehind } from '../way-back.js';
import { sentence } from '../words.js';

const MOST = 300; // as in the shop

export function PrintTags() {
  return html`<${Screen} title="Print tags" back=${nearestBehind([to('shelf'), to()])} class="desk">
    <section class="stack close">
      <h2>Printer</h2>
      <${LabelFields} />
      <${Select}
        label="Printed on"
        value=${printer.value.paper}
        choices=${PAPERS}
        onChange=${(/** @type {string} */ chosen) => changePrinter({ paper: chosen })}
      />
      <p class="soft">Print the file at its real size, not fitted to the page: the squares are drawn in whole dots of the printer.</p>
    </section>
    <${BoundTags} />
    <${BlankTags} />
  <//>`;
}

/** `make` asks the shop for the labels on the paper chosen; what went wrong stands in `problem`. */
function useFile() {
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState('');
  /** @param {string} path @param {object} what @param {number} n  how many labels it will be */
  const make = async (path, what, n) => {
    const { size, dpi, paper } = printer.value;
    setBusy(true);
    setProblem('');
    try {
      await openFile('POST', path, `tags-${size}-${n}.pdf`, { ...what, size, dpi: Number(dpi), paper });
      say(phrase('{n} tag is in the file|{n} tags are in the file', { n }));
    } catch (trouble) {
      setProblem(/** @type {Error} */ (trouble).message);
    }
    setBusy(false);
  };
  return { busy, problem, make };
}

/** Which of them are printed already nobody has recorded: whoever stands at the shelf sees it. */
function BoundTags() {
  const asked = useFromShop('/api/shelf', 'parts');
  const file = useFile();
  const [chosen, setChosen] = useState(/** @type {string[]} */ ([]));
  const tagged = (asked.found?.parts ?? []).filter((/** @type {any} */ part) => part.tag && !part.tag_on);
  const every = tagged.map((/** @type {any} */ part) => part.tag);
  const all = chosen.length === every.length;
  /** @param {string} tag */
  const turn = (tag) => setChosen(every.filter((/** @type {string} */ one) => chosen.includes(one) !== (one === tag)));
  return html`<section class="stack close">
    <h2>Tags of parts on the shelf</h2>
    <${FromShop} asked=${asked} what="The shelf">
      ${
        tagged.length
          ? html`<p class="soft">For those that were made to be printed later, choose them here.</p>`
          : html`<p>No part that waits on the shelf has a tag.</p>`
      }
      <ul class="ruled">
        ${tagged.map((/** @type {any} */ part) => html`<${Row} key=${`${part.case}/${part.part}`} part=${part} chosen=${chosen.includes(part.tag)} onTurn=${() => turn(part.tag)} />`)}
      </ul>
      <${More} asked=${asked} />
      ${file.problem && html`<p class="problem" role="alert">${file.problem}</p>`}
      ${
        tagged.length > 0 &&
        html`<div class="keys">
        <button
          type="button"
          class="key main"
          aria-busy=${file.busy}
          disabled=${file.busy || !chosen.length}
          onClick=${() => void file.make('/api/tags/labels', { codes: chosen }, chosen.length)}
        >
          ${file.busy ? phrase('Drawing the tags') : chosen.length ? phrase('One file of {n} label|One file of {n} labels', { n: chosen.length }) : phrase('None chosen yet')}
        </button>
        <button type="button" class="key" onClick=${() => setChosen(all ? [] : every)}>${all ? phrase('None of them') : phrase('All of them')}</button>
      </div>`
      }
    <//>
  </section>`;
}

/** @param {{part: any, chosen: boolean, onTurn: () => void}} props */
function Row({ part, chosen, onTurn }) {
  return html`<li class="chosen-row">
    <label class="choice">
      <input type="checkbox" checked=${chosen} onChange=${onTurn} />
      <span>
        <span>
          <strong>${sentence(part.label)}</strong><br />
          ${part.plate && part.plate !== part.title && html`<span class="plate">${part.plate}</span>`} ${part.title}
        </span>
      </span>
    </label>
    <a class="key figures" href=${to('case', part.case, 'label', part.tag)} aria-label=${phrase('Label of tag {code}', { code: tagWords(part.tag) })}>${tagWords(part.tag)}</a>
  </li>`;
}

function BlankTags() {
  const [typed, setTyped] = useState('30');
  const [refused, setRefused] = useState('');
  const file = useFile();
  const make = () => {
    const count = Number(typed);
    const fits = Number.isInteger(count) && count >= 1 && count <= MOST;
    setRefused(fits ? '' : phrase('Give a whole number from 1 to {MOST}.', { MOST }));
    if (fits) void file.make('/api/tags/roll', { count }, count);
  };
  return html`<section class="stack close">
    <h2>Blank tags</h2>
    <p>
      Tags that hang on nothing yet. Beside the car, scan one or type its ten characters to bind it to a part; that needs no signal.
    </p>
    <${PlainField} label="How many" value=${typed} onInput=${setTyped} inputmode="numeric" problem=${refused} />
    ${file.problem && html`<p class="problem" role="alert">${file.problem}</p>`}
    <button type="button" class="key main" aria-busy=${file.busy} disabled=${file.busy} onClick=${make}>
      ${file.busy ? phrase('Drawing the tags') : phrase('Make the file')}
    </button>
  </section>`;
}
