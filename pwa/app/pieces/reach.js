/** How a place is reached, set by one tap: it sets the minutes of every step there. */
import { useAtOnce } from '../at-once.js';
import { partAt } from '../case-look.js';
import { field } from '../declared.js';
import { html } from '../html.js';
import { save } from '../saving.js';
import { partKind } from '../words.js';

/** @param {{open: any, kind: string, position: number}} props */
export function Reach({ open, kind, position }) {
  const place = `${kind}.${position}`;
  const part = partAt(open.view, place).id;
  const struck = new Set(open.view.timeline.filter((/** @type {any} */ row) => row.struck).map((/** @type {any} */ row) => row.id));
  const noted = open.entries.findLast(
    (/** @type {any} */ entry) =>
      entry.kind === 'part_noted' && entry.body.place === place && entry.body.reach && !struck.has(entry.id),
  );
  const name = `reach-${place}`;
  const [reach, choose] = useAtOnce(noted?.body.reach ?? 'open', open.entries, (reach) =>
    save({ case: open.id, kind: 'part_noted', body: { part, kind, place, reach } }),
  );
  if (!part) return null;
  return html`<fieldset class="field">
    <legend>${partKind(kind)} ${position}</legend>
    <div class="choices">
      ${(field('part_noted', 'reach').choices ?? []).map(
        ({ value, label }) => html`<label class="choice" key=${value}>
        <input
          type="radio"
          name=${name}
          checked=${reach === value}
          onChange=${() => void choose(value)}
        /><span>${label}</span>
      </label>`,
      )}
    </div>
  </fieldset>`;
}
