/** Which screen stands where. On a wide page the list of cases stays beside the case. */
import { useEffect } from 'preact/hooks';
import { html } from './html.js';
import { caseScreens, screens } from './screens.js';
import { showCase } from './open-case.js';
import { person } from './person.js';
import { SaidLine } from './pieces/said-line.js';
import { SyncStrip } from './pieces/sync-strip.js';
import { route } from './route.js';
import { CaseList } from './screens/case-list.js';
import { Owner } from './screens/owner.js';
import { SignIn } from './screens/sign-in.js';
import { Unknown } from './screens/unknown.js';
import { useWide } from './wide.js';

export function App() {
  const { name, parts, hash } = route.value;
  const wide = useWide();
  const caseId = name === 'case' ? parts[0] : null;
  useEffect(() => showCase(caseId), [caseId]);

  if (name === 'owner') return html`<div class="page alone"><${Owner} token=${parts[0]} /><${SaidLine} /></div>`;
  if (!person.value) return html`<div class="page alone"><${SignIn} /><${SaidLine} /></div>`;

  const beside = wide && (name === 'case' || name === '' || name === 'new');
  return html`<div class=${`page ${beside ? 'two' : ''}`}>
    <${SyncStrip} />
    ${beside && html`<aside class="page-list" aria-label="Cases"><${CaseList} beside=${true} open=${caseId} /></aside>`}
    <div class="page-screen">${screenAt(name, parts, hash, beside)}</div>
    <${SaidLine} />
  </div>`;
}

/** @param {string} name @param {string[]} parts @param {string} hash @param {boolean} beside */
function screenAt(name, parts, hash, beside) {
  if (name === 'case') {
    const [id, screen = '', ...rest] = parts;
    const CaseScreen = caseScreens[screen];
    return CaseScreen ? html`<${CaseScreen} key=${hash} id=${id} parts=${rest} />` : html`<${Unknown} />`;
  }
  const OtherScreen = screens[name];
  return OtherScreen ? html`<${OtherScreen} key=${hash} parts=${parts} beside=${beside} />` : html`<${Unknown} />`;
}
