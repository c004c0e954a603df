/** One physical part: what it is, every place it sat, what was found on it, its tag and where it is now. */
import { useState } from 'preact/hooks';
import { partById } from '../case-look.js';
import { labelOf } from '../declared.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { Details } from '../pieces/details.js';
import { Notice } from '../pieces/notice.js';
import { PartFate } from '../pieces/part-fate.js';
import { PartNote } from '../pieces/part-note.js';
import { Thumbs } from '../pieces/thumbs.js';
import { Trail } from '../pieces/trails.js';
import { tagWords } from '../tag-words.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { dateWords, sentence } from '../words.js';

/** @param {{id: string, parts: string[]}} props */
export function PartScreen({ id, parts }) {
  const [filling, setFilling] = useState('');
  const view = openCase.value?.view;
  const part = view && partById(view, parts[0]);
  if (!part)
    return html`<${CaseScreen} id=${id} title="Part" needsView=${true}><p>This case knows no such part.</p><//>`;
  const done = () => setFilling('');
  return html`<${CaseScreen} id=${id} title=${sentence(part.label)}>
    <div class="stack">
      <p class="part-now">
        ${sentence(part.place_label)}${part.fate ? `: ${labelOf('part_fate', 'fate', part.fate.fate).toLowerCase()}` : ''}
      </p>
      ${
        view.doubts.some((/** @type {any} */ doubt) => doubt.part === part.part) &&
        html`<${Notice} tone="warn" title="Blamed, and good on the bench">
          <p>The case names it as the cause. It counts as no failure in what the shop has learned.</p>
        <//>`
      }
      ${
        (part.next || part.deadline) &&
        html`<p class="part-next">
          <strong>To do next: ${part.next ? labelOf('part_fate', 'next', part.next).toLowerCase() : phrase('nothing')}</strong> ${part.deadline && phrase('by {day}', { day: dateWords(part.deadline) })}
        </p>`
      }
      <${Details} kind="part_noted" body=${part.noted ?? {}} />
      ${part.fate && html`<${Details} kind="part_fate" body=${part.fate} />`}
      <section class="stack close"><h2>Trail</h2><${Trail} trail=${part.trail} /></section>
      <section class="stack close">
        <h2>Found on it</h2>
        ${!part.findings.length && html`<p class="soft">Nothing yet.</p>`}
        <ul class="ruled">
          ${part.findings.map(
            (/** @type {any} */ one) => html`<li
            key=${one.entry}
            class="finding-row"
          ><a href=${to('case', id, 'entry', one.entry)}>${one.text}</a>
            <${Thumbs}
              caseId=${id}
              photos=${one.photos.map((/** @type {string} */ sha256) => ({ sha256, alt: phrase('Photo: {words}', { words: one.text }) }))}
            />
          </li>`,
          )}
        </ul>
      </section>
      ${
        part.tag
          ? html`<a
            class="key"
            href=${to('case', id, 'label', part.tag)}
          ><span>Tag <span class="figures">${tagWords(part.tag)}</span></span></a>`
          : html`<a class="key" href=${to('case', id, 'tag', part.part)}>Bind a tag</a>`
      }
      <a class="key" href=${to('case', id, 'claim', part.part)}>Warranty claim</a>
      <div class="keys">
        <button
          type="button"
          class="key"
          aria-expanded=${filling === 'fate'}
          onClick=${() => setFilling(filling === 'fate' ? '' : 'fate')}
        >Where it is now</button>
        <button
          type="button"
          class="key"
          aria-expanded=${filling === 'note'}
          onClick=${() => setFilling(filling === 'note' ? '' : 'note')}
        >What it is</button>
      </div>
      ${filling === 'fate' && html`<${PartFate} id=${id} part=${part} onDone=${done} />`}
      ${filling === 'note' && html`<${PartNote} id=${id} part=${part} onDone=${done} />`}
    </div>
  <//>`;
}
