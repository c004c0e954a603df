/** Everything that can be recorded in a case: eight keys always at hand, the rest one tap away; of a closed case what it still takes. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';
import { Sheet } from './sheet.js';

/** @type {{screen: string[], icon: string, words: string}[]} */
const AT_HAND = [
  { screen: ['round', 'connector_look'], icon: 'connector', words: phrase('Connectors') },
  { screen: ['codes'], icon: 'codes', words: phrase('Codes') },
  { screen: ['round', 'drop'], icon: 'drop', words: phrase('Drop test ((key))') },
  { screen: ['moves'], icon: 'move', words: phrase('Move parts') },
  { screen: ['checks'], icon: 'check', words: phrase('Check') },
  { screen: ['repair'], icon: 'repair', words: phrase('Repair') },
  { screen: ['photo'], icon: 'camera', words: phrase('Photo') },
];

const FURTHER = [
  { screen: ['clear'], icon: 'clear', words: phrase('Clear codes') },
  { screen: ['drive'], icon: 'road', words: phrase('Road test') },
  { screen: ['shake'], icon: 'shake', words: phrase('Engine shake') },
  { screen: ['tag'], icon: 'tag', words: phrase('Tag') },
  { screen: ['note'], icon: 'note', words: phrase('Note') },
  { screen: ['vehicle'], icon: 'car', words: phrase('Vehicle') },
  { screen: ['complaint'], icon: 'said', words: phrase('Complaint') },
  { screen: ['estimate'], icon: 'about', words: phrase('Estimate') },
  { screen: ['bill'], icon: 'slip', words: phrase('Bill') },
  { screen: ['report'], icon: 'report', words: phrase('Report') },
  { screen: ['close'], icon: 'close', words: phrase('Close the case') },
];

const WHEN_CLOSED = [
  { screen: ['report'], icon: 'report', words: phrase('Report') },
  { screen: ['bill'], icon: 'slip', words: phrase('Bill') },
  { screen: ['tag'], icon: 'tag', words: phrase('Tag') },
  { screen: ['note'], icon: 'note', words: phrase('Note') },
  { screen: ['photo'], icon: 'camera', words: phrase('Photo') },
  { screen: ['vehicle'], icon: 'car', words: phrase('Vehicle') },
  { screen: ['reopen'], icon: 'turn', words: phrase('Open again') },
];

/** @param {{id: string, closed: boolean, wide: boolean}} props */
export function CaseKeys({ id, closed, wide }) {
  const [more, setMore] = useState(false);
  if (closed)
    return html`<nav class="case-keys" aria-label="Record">
      <div class="tools">${WHEN_CLOSED.map((tool) => html`<${Tool} key=${tool.words} id=${id} ...${tool} />`)}</div>
    </nav>`;
  return html`<nav class="case-keys" aria-label="Record">
    <div class="tools">
      ${[...AT_HAND, ...(wide ? FURTHER : [])].map((tool) => html`<${Tool} key=${tool.words} id=${id} ...${tool} />`)}
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
        ${FURTHER.map((tool) => html`<${Tool} key=${tool.words} id=${id} ...${tool} />`)}
      </div>
    <//>`
    }
  </nav>`;
}

/** @param {{id: string, screen: string[], icon: string, words: string}} props */
function Tool({ id, screen, icon, words }) {
  return html`<a class="tool" href=${to('case', id, ...screen)}><${Icon} name=${icon} /><span>${words}</span></a>`;
}
