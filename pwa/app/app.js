/** Which screen stands where. On a wide page the list of cases stays beside the case. */
import { useEffect } from 'preact/hooks';
import { standAt } from './at-case.js';
import { html } from './html.js';
import { person } from './person.js';
import { LockOver } from './pieces/lock-over.js';
import { ReadScreen } from './pieces/read-screen.js';
import { SaidLine } from './pieces/said-line.js';
import { SyncStrip } from './pieces/sync-strip.js';
import { route } from './route.js';
import { alone, caseScreens, screens } from './screens.js';
import { CaseList } from './screens/case-list.js';
import { Start } from './screens/start.js';
import { Unknown } from './screens/unknown.js';
import { useWide } from './wide.js';

/** Screens that leave the list its room. */
const BESIDE = ['', 'case', 'new', 'shelf', 'calls', 'print-tags'];

export function App() {
  const { name, parts, hash } = route.value;
  const wide = useWide();
  const caseId = name === 'case' ? parts[0] : null;
  useEffect(() => void standAt(caseId), [caseId]);

  if (name in alone || !person.value) {
    const load = alone[name] ?? alone.signIn;
    return html`<div class="page alone"><${SaidLine} /><${ReadScreen} key=${load} load=${load} given=${{ token: parts[0] }} /></div>`;
  }

  const beside = wide && BESIDE.includes(name);
  return html`<div class=${`page ${beside ? 'two' : ''}`}>
    <${SaidLine} />
    <${SyncStrip} />
    ${beside && html`<aside class="page-list" aria-label="Cases"><${CaseList} beside=${true} open=${caseId} /></aside>`}
    <div class="page-screen">${screenAt(name, parts, hash, beside)}</div>
    <${LockOver} />
  </div>`;
}

/** @param {string} name @param {string[]} parts @param {string} hash @param {boolean} beside */
function screenAt(name, parts, hash, beside) {
  if (!name) return html`<${Start} beside=${beside} />`;
  const [id, screen = '', ...rest] = parts;
  const load = name === 'case' ? caseScreens[screen] : screens[name];
  if (!load) return html`<${Unknown} />`;
  const given = name === 'case' ? { id, parts: rest } : { parts, beside };
  return html`<${ReadScreen} key=${hash} load=${load} given=${given} />`;
}
