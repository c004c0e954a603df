/** Find a case: by anything in it, in the whole shop, and without a connection in what this phone holds. */
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { caseListing } from '../case-list.js';
import { among, heldCases, inShop, MOST_TEXT } from '../find-cases.js';
import { html } from '../html.js';
import { CaseRow } from '../pieces/case-row.js';
import { useFromShop } from '../pieces/from-shop.js';
import { Notice } from '../pieces/notice.js';
import { PlainField } from '../pieces/plain-field.js';
import { Screen } from '../pieces/screen.js';
import { Select } from '../pieces/select.js';
import { to } from '../route.js';
import { seek, sought } from '../sought.js';
import { phrase } from '../tongue.js';
import { useWide } from '../wide.js';

const PAUSE = 150; // ms without a key before the shop is asked

export function Find() {
  const wide = useWide();
  const asFor = sought.value;
  const [filtered] = useState(Object.entries(asFor).some(([name, value]) => name !== 'q' && value));
  const [held, setHeld] = useState(/** @type {import('../find-cases.js').Held[] | null} */ (null));
  const { cases } = caseListing.value;
  useEffect(() => void heldCases().then(setHeld, () => setHeld([])), [cases]);
  const tooLong = asFor.q.length > MOST_TEXT;
  const shop = useShop(asFor, tooLong);
  const here = useMemo(() => (held && !tooLong ? among(held, asFor) : []), [held, asFor]);
  const known = new Set((held ?? []).map((one) => one.hit.case));
  const listed = new Set(shop.cases.map((one) => one.case));
  const hits = shop.trouble ? here : [...shop.cases, ...(shop.cursor === null ? here.filter((one) => !listed.has(one.case)) : [])];
  const asked = Object.values(asFor).some(Boolean);
  return html`<${Screen} title="Find a case" back=${to()} class="desk">
    <form role="search" class="stack" onSubmit=${(/** @type {Event} */ event) => event.preventDefault()}>
      <${PlainField}
        label="Plate, VIN, customer, phone, code, tag, day or words"
        type="search"
        value=${asFor.q}
        onInput=${(/** @type {string} */ q) => seek({ q })}
        problem=${tooLong && phrase('A search has {MOST_TEXT} characters at most. Give a few words of the case.', { MOST_TEXT })}
        autocomplete="off"
        spellcheck=${false}
      />
      <details class="more" open=${wide || filtered}>
        <summary>State, person and days</summary>
        <${Filters} sought=${asFor} change=${seek} />
      </details>
    </form>
    ${
      shop.trouble &&
      html`<${Notice} tone="warn" title="Only what is on this device">
        <p>${shop.trouble} Looked through: ${phrase('{n} case|{n} cases', { n: held?.length ?? 0 })} on this device. The rest comes when there is a connection.</p>
      <//>`
    }
    ${
      !tooLong &&
      html`<section class="stack close" aria-label="Found">
        <p class="soft" role="status">${shop.busy && !hits.length ? phrase('Looking') : foundWords(hits.length, shop.cursor !== null, asked)}</p>
        <ul class="ruled">
          ${hits.map((one) => html`<li key=${one.case}><${CaseRow} one=${one} here=${known.has(one.case)} /></li>`)}
        </ul>
        ${shop.cursor !== null && html`<button type="button" class="key" onClick=${() => void shop.more()}>More</button>`}
      </section>`
    }
  <//>`;
}

/** @param {number} hits @param {boolean} more @param {boolean} asked */
function foundWords(hits, more, asked) {
  if (!hits) return asked ? phrase('No case has all of this. Fewer words find more.') : phrase('No case yet.');
  return more ? phrase('The latest {n}', { n: hits }) : phrase('{n} case|{n} cases', { n: hits });
}

/** @param {{sought: import('../sought.js').Sought, change: (part: Partial<import('../sought.js').Sought>) => void}} props */
function Filters({ sought, change }) {
  const { found } = useFromShop('/api/people');
  const states = [
    ['', phrase('Any')],
    ['open', phrase('Open')],
    ['closed', phrase('Closed')],
  ];
  return html`<div class="filters">
    <fieldset class="field">
      <legend>State</legend>
      <div class="choices">
        ${states.map(
          ([value, words]) => html`<label class="choice" key=${value}>
            <input type="radio" name="state" checked=${sought.status === value} onChange=${() => change({ status: value })} />
            <span>${words}</span>
          </label>`,
        )}
      </div>
    </fieldset>
    <${Select}
      label="Recorded by"
      value=${sought.by}
      choices=${[['', phrase('Anybody')], ...(found?.people ?? []).map((/** @type {any} */ one) => [one.id, one.name])]}
      onChange=${(/** @type {string} */ by) => change({ by })}
    />
    <${PlainField} label="From" type="date" value=${sought.since} onInput=${(/** @type {string} */ since) => change({ since })} />
    <${PlainField} label="To" type="date" value=${sought.until} onInput=${(/** @type {string} */ until) => change({ until })} />
  </div>`;
}


/** What the shop finds, asked when the fingers rest. @param {import('../sought.js').Sought} sought @param {boolean} tooLong */
function useShop(sought, tooLong) {
  const [state, setState] = useState({
    cases: /** @type {import('../find-cases.js').Hit[]} */ ([]),
    cursor: /** @type {number | null} */ (null),
    trouble: '',
    busy: true,
  });
  const latest = useRef(sought);
  latest.current = sought;
  /** @param {import('../find-cases.js').Hit[]} before @param {number | null} cursor */
  const ask = async (before, cursor) => {
    try {
      const found = await inShop(sought, cursor);
      if (latest.current === sought)
        setState({ cases: [...before, ...found.cases], cursor: found.cursor, trouble: '', busy: false });
    } catch (problem) {
      const trouble = /** @type {Error} */ (problem).message;
      if (latest.current === sought) setState({ cases: [], cursor: null, trouble, busy: false });
    }
  };
  useEffect(() => {
    if (tooLong) return;
    const timer = setTimeout(() => void ask([], null), PAUSE);
    return () => clearTimeout(timer);
  }, [sought]);
  return { ...state, more: () => ask(state.cases, state.cursor) };
}
