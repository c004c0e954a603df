/** How much the engine shook before the repair and after it, as two bars and one sentence. */
import { html } from '../html.js';

/** @param {{shake: null | undefined | {text: string, before: number, after: number}, words: Record<string, string>}} props */
export function ReportShake({ shake, words }) {
  if (!shake) return null;
  const most = Math.max(shake.before, shake.after);
  return html`<section>
    <h3>${words.runs}</h3>
    <p>${shake.text}</p>
    <dl class="report-shake">
      <${Bar} words=${words.shake_before} value=${shake.before} most=${most} />
      <${Bar} words=${words.shake_after} value=${shake.after} most=${most} />
    </dl>
  </section>`;
}

/** @param {{words: string, value: number, most: number}} props */
function Bar({ words, value, most }) {
  return html`<div>
    <dt>${words}</dt>
    <dd>
      <svg class="report-bar" viewBox="0 0 100 8" preserveAspectRatio="none" aria-hidden="true">
        <rect width=${(100 * value) / most} height="8" />
      </svg>
      <span class="figures">${value.toFixed(2)} m/s²</span>
    </dd>
  </div>`;
}
