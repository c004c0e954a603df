/** The warranty claim of one part, for the screen and for paper: its trail, the findings, the dates. Nothing of the customer. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { person } from '../person.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { ClaimPage } from '../pieces/claim-page.js';
import { Icon } from '../pieces/icon.js';
import { Notice } from '../pieces/notice.js';
import { to } from '../route.js';

/** @param {{id: string, parts: string[]}} props */
export function Claim({ id, parts }) {
  const [part] = parts;
  const [claim, setClaim] = useState(/** @type {any} */ (null));
  const entries = openCase.value?.entries;
  useEffect(() => {
    if (!entries?.length) return;
    let gone = false;
    void ask('claim', { entries, part }, { topic: 'claim', priority: 2 }).then((answer) => {
      if (!gone && answer.error?.code !== 'superseded') setClaim(answer);
    });
    return () => {
      gone = true;
    };
  }, [entries, part]);
  const ready = claim && !claim.error;
  const keys =
    ready && html`<button type="button" class="key main wide tall" onClick=${() => print()}><${Icon} name="print" />Print</button>`;
  return html`<${CaseScreen} id=${id} title="Warranty claim" keys=${keys} back=${to('case', id, 'part', part)} class="report-screen">
    ${!claim && html`<p class="soft" aria-busy="true">Writing the claim</p>`}
    ${claim?.error && html`<${Notice} tone="warn" title="The claim cannot be written"><p>${claim.error.message}</p><//>`}
    ${ready && html`<${ClaimPage} claim=${claim} shop=${person.value?.shop ?? null} />`}
  <//>`;
}
