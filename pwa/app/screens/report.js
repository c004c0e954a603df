/** The owner's report: one page in plain words, for the screen, for paper, and as a file that needs nothing else. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { person } from '../person.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { Icon } from '../pieces/icon.js';
import { Notice } from '../pieces/notice.js';
import { ReportLinks } from '../pieces/report-links.js';
import { ReportPage } from '../pieces/report-page.js';
import { to } from '../route.js';
import { reportFile } from '../report-file.js';
import { sayTrouble } from '../said.js';
import { phrase } from '../tongue.js';

/** @param {{id: string}} props */
export function Report({ id }) {
  const [report, setReport] = useState(/** @type {any} */ (null));
  const [attempt, setAttempt] = useState(0);
  const page = useRef(/** @type {HTMLElement | null} */ (null));
  const entries = openCase.value?.entries;
  useEffect(() => {
    if (!entries?.length) return;
    let gone = false;
    setReport(null);
    // The diagnosis at hand spares another, where it knows the latest entry.
    const { diagnosis, thinking } = openCase.peek() ?? {};
    const told = diagnosis && !thinking ? { diagnosis: { explanations: diagnosis.explanations, fixed: diagnosis.fixed } } : {};
    void ask('report', { entries, ...told }, { topic: 'report', priority: 2 }).then((answer) => {
      if (!gone && answer.error?.code !== 'superseded') setReport(answer);
    });
    return () => {
      gone = true;
    };
  }, [entries, attempt]);

  const share = async () => {
    if (!page.current) return;
    try {
      const file = await reportFile(page.current, report.title);
      if (navigator.canShare?.({ files: [file] })) await navigator.share({ files: [file], title: report.title });
      else download(file);
    } catch (trouble) {
      // Closing the share sheet is no trouble.
      if (/** @type {Error} */ (trouble).name !== 'AbortError')
        sayTrouble(phrase('The report could not be shared. Print it, or keep it as a file from there.'));
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
      <${ReportPage} report=${report} shop=${person.value?.shop ?? null} caseId=${id} />
    </div>
    <${ReportLinks} id=${id} />
    <section class="stack close report-aside" aria-label="This case elsewhere">
      <h2>This case elsewhere</h2>
      <div class="keys">
        <a class="key" href=${`/api/cases/${id}/export.zip`} download>All of it as files</a>
        <a class="key" href=${to('case', id, 'erase')}>Erase personal data</a>
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
