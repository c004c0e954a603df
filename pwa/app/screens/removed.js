/** After a repair: the part that came off gets its tag while it is in the hand, or not now. */
import { partById, partOffBy } from '../case-look.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { useTagBinding } from '../pieces/tag-binding.js';
import { TagField } from '../pieces/tag-field.js';
import { TagScan } from '../pieces/tag-scan.js';
import { goInstead, home, to } from '../route.js';
import { phrase } from '../tongue.js';
import { sentence } from '../words.js';

/** @param {{id: string, parts: string[]}} props  `parts`: which one came off, or the entry of its repair */
export function Removed({ id, parts }) {
  const { view, thinking } = openCase.value ?? {};
  const part = view && (partOffBy(view, parts[0]) ?? partById(view, parts[0] ?? ''));
  const binding = useTagBinding(id, part?.part ?? '', (code, made) => (made ? to('case', id, 'label', code) : home(id)));
  if (!part) return html`<${CaseScreen} id=${id} title="Tag the removed part" needsView=${true}>
      ${thinking ? html`<p class="soft" aria-busy="true">Reading the case</p>` : html`<p>This case knows no such part.</p>`}
    <//>`;
  const keys = html`<button type="button" class="key wide tall" onClick=${() => goInstead(home(id))}>${part.tag ? phrase('Done') : phrase('Not now')}</button>`;
  return html`<${CaseScreen} id=${id} title="Tag the removed part" keys=${keys}>
    <div class="stack">
      <p class="part-now">${sentence(part.label)}</p>
      <p>A tag tells it apart from others that look the same: on the bench, at the desk, for a warranty claim.</p>
      <section class="stack close">
        <h2>A tag that is printed already</h2>
        <${TagScan} onCode=${binding.bindIfFree} />
        <${TagField} words="Bind this tag" onCode=${binding.bindIfFree} />
      </section>
      <section class="stack close">
        <h2>No printed tag at hand</h2>
        <button type="button" class="key wide" disabled=${binding.busy} onClick=${() => void binding.make()}>Make a tag, print it later</button>
      </section>
      ${binding.trouble}
    </div>
  <//>`;
}
