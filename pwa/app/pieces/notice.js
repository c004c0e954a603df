/** A notice that stays: what is the matter, and what to do. */
import { html } from '../html.js';
import { Icon } from './icon.js';

/**
 * @param {{tone?: 'plain' | 'warn' | 'trouble' | 'well', icon?: string, title?: string, children?: any}} props
 */
export function Notice({ tone = 'plain', icon, title, children }) {
  const sign = icon ?? { plain: 'note', warn: 'warn', trouble: 'warn', well: 'tick' }[tone];
  return html`<div class=${`notice ${tone}`}>
    <${Icon} name=${sign} />
    ${title && html`<strong>${title}</strong>`} ${children}
  </div>`;
}
