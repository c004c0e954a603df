/** Everything that can be recorded in a case: eight keys always at hand, the rest one tap away. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { to } from '../route.js';
import { Icon } from './icon.js';
import { Sheet } from './sheet.js';

/** @type {{screen: string[], icon: string, words: string}[]} */
const AT_HAND = [
  { screen: ['round', 'connector_look'], icon: 'connector', words: 'Connectors' },
  { screen: ['codes'], icon: 'codes', words: 'Codes' },
  { screen: ['round', 'drop'], icon: 'drop', words: 'Drop test' },
  { screen: ['moves'], icon: 'move', words: 'Move parts' },
  { screen: ['checks'], icon: 'check', words: 'Check' },
  { screen: ['repair'], icon: 'repair', words: 'Repair' },
  { screen: ['photo'], icon: 'camera', words: 'Photo' },
];

const FURTHER = [
  { screen: ['clear'], icon: 'clear', words: 'Clear codes' },
  { screen: ['drive'], icon: 'road', words: 'Road test' },
  { screen: ['tag'], icon: 'tag', words: 'Tag' },
  { screen: ['note'], icon: 'note', words: 'Note' },
  { screen: ['complaint'], icon: 'warn', words: 'Complaint' },
  { screen: ['estimate'], icon: 'note', words: 'Estimate' },
  { screen: ['bill'], icon: 'note', words: 'Bill' },
  { screen: ['report'], icon: 'report', words: 'Report' },
];

/** @param {{id: string, closed: boolean, wide: boolean}} props */
export function CaseKeys({ id, closed, wide }) {
  const [more, setMore] = useState(false);
  const last = closed
    ? { screen: ['reopen'], icon: 'turn', words: 'Open again' }
    : { screen: ['close'], icon: 'close', words: 'Close' };
  const further = [...FURTHER, last];
  return html`<nav class="case-keys" aria-label="Record">
    <div class="tools">
      ${[...AT_HAND, ...(wide ? further : [])].map((tool) => html`<${Tool} key=${tool.words} id=${id} ...${tool} />`)}
      ${
        !wide &&
        html`<button
        type="button"
        class="tool"
        aria-haspopup="dialog"
        onClick=${() => setMore(true)}
      ><${Icon} name="more" /><span>More</span></button>`
      }
    </div>
    ${
      more &&
      html`<${Sheet} title="More to record" onClose=${() => setMore(false)}>
      <div class="tools in-sheet">
        ${further.map((tool) => html`<${Tool} key=${tool.words} id=${id} ...${tool} />`)}
      </div>
    <//>`
    }
  </nav>`;
}

/** @param {{id: string, screen: string[], icon: string, words: string}} props */
function Tool({ id, screen, icon, words }) {
  return html`<a class="tool" href=${to('case', id, ...screen)}><${Icon} name=${icon} /><span>${words}</span></a>`;
}
