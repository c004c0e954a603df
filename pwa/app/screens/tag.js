/** A tag for a part: a code made here without a signal, or one that is printed already. */
import { useState } from 'preact/hooks';
import { partById } from '../case-look.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { useTagBinding } from '../pieces/tag-binding.js';
import { TagField } from '../pieces/tag-field.js';
import { TagScan } from '../pieces/tag-scan.js';
import { to } from '../route.js';
import { UNCHOSEN } from '../tag-words.js';
import { phrase } from '../tongue.js';
import { sentence } from '../words.js';

/** @param {{id: string, parts: string[]}} props */
export function TagScreen({ id, parts }) {
  const view = openCase.value?.view;
  const [chosen, setChosen] = useState(parts[0] === UNCHOSEN ? '' : (parts[0] ?? ''));
  const off = (view?.parts ?? []).filter((/** @type {any} */ part) => !part.place.includes('.'));
  const others = (view?.parts ?? []).filter((/** @type {any} */ part) => part.place.includes('.'));
  const named = view && chosen ? partById(view, chosen) : null;
  if (named && ![...off, ...others].some((/** @type {any} */ part) => part.part === chosen)) others.unshift(named);
  const part = chosen || off.find((/** @type {any} */ one) => !one.tag)?.part || '';
  const binding = useTagBinding(id, part, (code) => to('case', id, 'label', code));
  if (!view) return html`<${CaseScreen} id=${id} title="Tag" needsView=${true} />`;

  const keys = html`<button
    type="button"
    class="key main wide tall"
    disabled=${binding.busy || !part}
    onClick=${() => void binding.make()}
  >Make a tag for it</button>`;
  return html`<${CaseScreen} id=${id} title="Tag" keys=${keys}>
    <div class="stack">
      ${!off.length && html`<p>No part is off the engine. A tag can hang on any part all the same.</p>`}
      <${PartChoice} title="Off the engine" parts=${off} chosen=${part} onChoose=${setChosen} />
      <${PartChoice} title="On the engine" parts=${others} chosen=${part} onChoose=${setChosen} />
      <section class="stack close">
        <h2>A tag that is printed already</h2>
        <p class="soft">It has ten digits and letters under its square; a number of your own is no tag.</p>
        <${TagScan} onCode=${binding.bindIfFree} />
        <${TagField} words="Bind this tag" onCode=${binding.bindIfFree} initial=${parts[1]} />
      </section>
      ${binding.trouble}
    </div>
  <//>`;
}

/** @param {{title: string, parts: any[], chosen: string, onChoose: (part: string) => void}} props */
function PartChoice({ title, parts, chosen, onChoose }) {
  if (!parts.length) return null;
  return html`<fieldset class="field">
    <legend>${title}</legend>
    <div class="choices">
      ${parts.map(
        (part) => html`<label
        class="choice"
        key=${part.part}
      >
        <input
          type="radio"
          name="tag-part"
          checked=${part.part === chosen}
          onChange=${() => onChoose(part.part)}
        /><span>${part.tag ? phrase('{part}, has a tag', { part: sentence(part.label) }) : sentence(part.label)}</span>
      </label>`,
      )}
    </div>
  </fieldset>`;
}
