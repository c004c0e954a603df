/** What another application shared: what was understood of it, and the case that it goes into. */
import { useEffect, useState } from 'preact/hooks';
import * as drafts from '../../field/drafts.js';
import { takeIn } from '../../field/photos.js';
import { dropShared, LARGEST_BYTES, MOST_PICTURES, sharedOf } from '../../field/shared.js';
import { caseListing } from '../case-list.js';
import { codesIn, joined } from '../codes-found.js';
import { html } from '../html.js';
import { latestCase } from '../open-case.js';
import { photoBody } from '../photo-entries.js';
import { Notice } from '../pieces/notice.js';
import { Screen } from '../pieces/screen.js';
import { Sure } from '../pieces/sure.js';
import { goInstead, to } from '../route.js';
import { sayTrouble } from '../said.js';
import { phrase } from '../tongue.js';
import { size } from '../words.js';

/** @typedef {import('../../field/shared.js').Shared} Shared */
/** @typedef {import('../../field/log.js').Summary} Summary */

/** @typedef {import('../codes-found.js').Found} Found */

/** @param {{parts: string[]}} props */
export function SharedScreen({ parts: [id = ''] }) {
  const [shared, found] = useShared(id);
  const [refused, setRefused] = useState(/** @type {string[]} */ ([]));
  const [chosen, setChosen] = useState('');
  const open = caseListing.value.cases?.filter((one) => one.status === 'open');

  /** @param {string} caseId */
  const leave = async (caseId) => {
    await dropShared(id);
    goInstead(caseId ? to('case', caseId, 'codes') : to());
  };
  /** @param {string} caseId @param {Shared} what */
  const put = async (caseId, what) => {
    setChosen(caseId);
    try {
      const troubles = await putInto(caseId, what);
      setRefused(troubles);
      if (!troubles.length) await leave(caseId);
    } catch {
      sayTrouble(phrase('The phone’s store did not take it. It waits here: free some space, then choose the case again.'));
    }
  };
  // Nothing to be asked and nothing to be told: it goes where it can only belong.
  const plain = shared && !shared.cut && !shared.refused.length && (shared.text ? found?.codes.length : shared.pictures.length);
  const only = plain && open?.length === 1 ? open[0].case : '';
  useEffect(() => {
    if (shared && only) void put(only, shared);
  }, [only]);

  if (shared === undefined) return html`<${Screen} title="Shared" back=${to()}><p class="soft" aria-busy="true">Looking</p><//>`;
  if (shared === null)
    return html`<${Screen} title="Shared" back=${to()}>
      <${Notice} tone="warn" title="Nothing of it is here">
        <p>It has gone into a case already, or the phone was too full to keep it: then free some space and share it again.</p>
      <//>
    <//>`;
  const notTaken = [...refusals(shared), ...refused];
  const something = shared.text || shared.pictures.length > 0;
  return html`<${Screen} title="Shared" back=${to()}>
    ${shared.text && html`<${Understood} shared=${shared} found=${found} />`}
    ${shared.pictures.length > 0 && html`<p>${phrase('{n} picture, kept beside the codes as a screen or a printout.|{n} pictures, kept beside the codes as screens or printouts.', { n: shared.pictures.length })}</p>`}
    ${!something && html`<p class="problem">There is no text and no picture in it that can be kept.</p>`}
    ${notTaken.length > 0 && html`<div class="stack close" role="alert">${notTaken.map((one) => html`<p class="problem" key=${one}>${one}</p>`)}</div>`}
    ${refused.length > 0 && html`<button type="button" class="key main wide" onClick=${() => void leave(chosen)}>Go on without them</button>`}
    ${something && open && html`<${CaseChoice} open=${open} onChoose=${(/** @type {string} */ caseId) => void put(caseId, shared)} />`}
    <${Sure} words="Throw it away" sure="Throw it away for good" onSure=${() => leave('')} />
  <//>`;
}

/**
 * What was shared (undefined: being read; null: not here) and the codes in its text (undefined: being looked for).
 * @param {string} id
 */
function useShared(id) {
  const [shared, setShared] = useState(/** @type {Shared | null | undefined} */ (undefined));
  const [found, setFound] = useState(/** @type {Found | undefined} */ (undefined));
  useEffect(() => {
    const read = async () => {
      const kept = (await sharedOf(id).catch(() => undefined)) ?? null;
      setShared(kept);
      if (!kept?.text) return;
      const answer = await codesIn(kept.text);
      setFound('error' in answer ? { codes: [], obtained: 'pasted' } : answer);
    };
    void read();
  }, [id]);
  return /** @type {const} */ ([shared, found]);
}

/** @param {{shared: Shared, found: Found | undefined}} props */
function Understood({ shared: { text, cut }, found }) {
  const codes = found?.codes.map(({ code }) => code) ?? [];
  const told = !found
    ? phrase('Looking for codes in it')
    : codes.length
      ? phrase('{n} code: {codes}|{n} codes: {codes}', { n: codes.length, codes: codes.join(', ') })
      : phrase('No code was found in this text. It goes along all the same; type the codes in the case.');
  return html`<section class="stack close">
    <p role="status" aria-busy=${!found}>${told}</p>
    ${cut && html`<p class="problem">The text is very long: only its beginning is kept. Share the part with the codes by itself.</p>`}
    <blockquote class="shared-text figures" tabindex="0">${text.slice(0, SHOWN)}</blockquote>
  </section>`;
}

const SHOWN = 2000; // characters: enough to know it again

/** @param {{open: Summary[], onChoose: (id: string) => void}} props */
function CaseChoice({ open, onChoose }) {
  if (!open.length)
    return html`<${Notice} title="No case is open on this device">
      <p>It waits here until there is one.</p>
      <a class="key main" href=${to('new')}>New case</a>
    <//>`;
  const latest = open.find((one) => one.case === latestCase()) ?? open[0];
  const others = open.filter((one) => one !== latest);
  return html`<section class="stack close">
    <button type="button" class="key main wide tall" onClick=${() => onChoose(latest.case)}>
      ${phrase('Into {title}', { title: titleOf(latest) })}
    </button>
    ${others.length > 0 && html`<h2>Or into another case</h2>`}
    <ul class="stack close">
      ${others.map(
        (one) => html`<li key=${one.case}>
          <button type="button" class="key wide" onClick=${() => onChoose(one.case)}>${titleOf(one)}</button>
        </li>`,
      )}
    </ul>
  </section>`;
}

/** @param {Summary} one */
function titleOf({ title, plate }) {
  return plate && plate !== title ? `${title}, ${plate}` : title;
}

/**
 * Into the half-filled form of codes, where it is looked through before it is kept.
 * @param {string} caseId
 * @param {Shared} shared
 * @returns {Promise<string[]>} why pictures were not taken; those before them are in the form already
 */
async function putInto(caseId, shared) {
  const key = `form/${caseId}/codes`;
  let values = (await drafts.kept(key)) ?? {};
  const troubles = [];
  if (shared.text && !values.pasted?.includes(shared.text)) {
    const pasted = [values.pasted, shared.text].filter(Boolean).join('\n');
    const found = await codesIn(pasted);
    values = { ...values, pasted, ...('error' in found ? {} : joined(values, found)) };
  }
  for (const { name, type, bytes } of shared.pictures) {
    try {
      const taken = photoBody(await takeIn(new Blob([bytes], { type })), {});
      const held = (values.photos ?? []).filter((/** @type {any} */ one) => one.sha256 !== taken.sha256);
      values = { ...values, photos: [...held, taken] };
    } catch (trouble) {
      troubles.push(`${name}: ${/** @type {Error} */ (trouble).message}`);
    }
  }
  await drafts.keep(key, values);
  return troubles;
}

/** @param {Shared} shared */
function refusals({ refused }) {
  const why = {
    kind: phrase('It is neither a picture nor a text. Share a picture of it.'),
    large: phrase('It is larger than {size}. Share a smaller picture.', { size: size(LARGEST_BYTES) }),
    many: phrase('More than {most} pictures at once. Share the rest by themselves.', { most: MOST_PICTURES }),
  };
  return refused.map((one) => `${one.name}: ${why[one.why]}`);
}
