/** One line where the advice does without tools that are not in the van. */
import { tools } from '../declared.js';
import { html } from '../html.js';
import { to } from '../route.js';
import { settings } from '../settings.js';
import { phrase } from '../tongue.js';

export function MissingTools() {
  const held = settings.value.tools;
  const missing = held ? tools().filter(({ value }) => !held.includes(value)) : [];
  if (!missing.length) return null;
  const n = missing.length;
  const words = n > 1 ? phrase('{n} tool|{n} tools', { n }) : missing[0].label.toLowerCase();
  return html`<p class="missing-tools">
    <a href=${to('van')}>Without ${words}: what is in the van</a>
  </p>`;
}
