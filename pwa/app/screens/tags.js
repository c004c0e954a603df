/** Find a part by its tag, scanned or typed. A tag that hangs on nothing yet can be bound from here. */
import { html } from '../html.js';
import { Screen } from '../pieces/screen.js';
import { TagField } from '../pieces/tag-field.js';
import { TagScan } from '../pieces/tag-scan.js';
import { go, to } from '../route.js';

export function Tags() {
  const open = (/** @type {string} */ code) => go(to('tag', code));
  return html`<${Screen} title="Find a tag" back=${to()}>
    <${TagScan} onCode=${open} first=${true} />
    <section class="stack close">
      <h2>Or type it</h2>
      <p>The ten characters under the square. Large or small letters and dashes make no difference.</p>
      <${TagField} words="Find the part" onCode=${open} />
    </section>
  <//>`;
}
