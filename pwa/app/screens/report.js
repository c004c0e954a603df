/** The owner's report: one page in plain words, for the screen, for paper, and as a file that needs nothing else. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { standing } from '../../field/summaries.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { person } from '../person.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { Icon } from '../pieces/icon.js';
import { Notice } from '../pieces/notice.js';
import { ReportLinks } from '../pieces/report-links.js';
import { ReportPage } from '../pieces/report-page.js';
import { puttingRight } from '../put-right.js';
import { reportFile } from '../report-file.js';
import { isOneOf } from '../roles.js';
import { to } from '../route.js';
import { sayTrouble } from '../said.js';
import { saveAll } from '../saving.js';
import { LANGUAGES, language, phrase } from '../tongue.js';

/** @param {{id: string}} props */
export function Report({ id }) {
  const [report, setReport] = useState(/** @type {any} */ (null));
  const [attempt, setAttempt] = useState(0);
  const page = useRef(/** @type {HTMLElement | null} */ (null));
  const entries = openCase.value?.entries;
  const opened = standing(entries ?? []).findLast(({ kind }) => kind === 'case_opened');
  const [chosen, setChosen] = useState('');
  const spoken = chosen || (opened?.body.customer?.language ?? language);
  useEffect(() => {
    if (!entries?.length) return;
    let gone = false;
    setReport(null);
    // The diagnosis at hand spares another, where it knows the latest entry and speaks the owner's language.
    const { diagnosis, thinking } = openCase.peek() ?? {};
    const here = diagnosis && !thinking && spoken === language;
    const told = here ? { diagnosis: { explanations: diagnosis.explanations, fixed: diagnosis.fixed } } : {};
    void ask('report', { entries, ...told }, { topic: 'report', priority: 2, language: spoken }).then((answer) => {
      if (!gone && answer.error?.code !== 'superseded') setReport(answer);
    });
    return () => {
      gone = true;
    };
  }, [entries, attempt, spoken]);

  /** Kept with the customer, so that whoever prints it has it in the same language. @param {string} code */
  const speak = async (code) => {
    setChosen(code);
    if (opened) await saveAll(puttingRight(opened, { ...opened.body, customer: { ...opened.body.customer, language: code } }));
  };

  const share = async () => {
    if (!page.current) return;
    /** @type {File | null} */
    let file = null;
    try {
      file = await reportFile(page.current, report.title, spoken);
      if (navigator.canShare?.({ files: [file] })) await navigator.share({ files: [file], title: report.title });
      else download(file);
    } catch (trouble) {
      const { name } = /** @type {Error} */ (trouble);
      if (name === 'AbortError') return; // closing the share sheet is no trouble
      // Many pictures took longer than a browser lets a tap count: then it is kept as a file.
      if (file && name === 'NotAllowedError') download(file);
      else sayTrouble(phrase('The report could not be shared. Print it, or keep it as a file from there.'));
    }
  };

  const ready = report && !report.error;
  const keys =
    ready &&
    html`<div class="keys">
    <button type="button" class="key main" onClick=${() => print()}><${Icon} name="print" />Print</button>
    <button type="button" class="key" onClick=${() => void share()}><${Icon} name="share" />Share</button>
  </div>`;
  return html`<${CaseScreen} id=${id} title="Report" keys=${keys} class="report-screen">
    <fieldset class="field report-aside">
      <legend>The owner reads</legend>
      <div class="choices">
        ${Object.entries(LANGUAGES).map(
          ([code, name]) => html`<label class="choice" key=${code} lang=${code}>
          <input type="radio" name="report-language" checked=${code === spoken} onChange=${() => void speak(code)} /><span>${name}</span>
        </label>`,
        )}
      </div>
    </fieldset>
    ${!report && html`<p class="soft" aria-busy="true">Writing the report</p>`}
    ${
      report?.error &&
      html`<${Notice} tone="warn" title="The report cannot be written now">
      <p>${report.error.message}</p>
      <button type="button" class="key" onClick=${() => setAttempt(attempt + 1)}>Ask again</button>
    <//>`
    }
    ${ready && report.money?.warning && html`<${Notice} tone="warn" title="Look at the money first"><p>${report.money.warning}</p><//>`}
    ${
      ready &&
      html`<div ref=${page}>
      <${ReportPage} report=${report} language=${spoken} shop=${person.value?.shop ?? null} />
    </div>
    <${ReportLinks} id=${id} language=${spoken} />
    <section class="stack close report-aside" aria-label="This case elsewhere">
      <h2>This case elsewhere</h2>
      <div class="keys">
        <a class="key" href=${`/api/cases/${id}/export.zip`} download>All of it as files</a>
        ${isOneOf('owner', 'desk') && html`<a class="key" href=${to('case', id, 'erase')}>Erase personal data</a>`}
      </div>
    </section>`
    }
  <//>`;
}

/** @param {File} file */
function download(file) {
  const url = URL.createObjectURL(file);
  const link = document.createElement('a');
  link.href = url;
  link.download = file.name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60e3);
}
