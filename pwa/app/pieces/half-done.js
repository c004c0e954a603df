/** A round that was left in the middle: the way back to its place. */
import { useEffect, useState } from 'preact/hooks';
import * as drafts from '../../field/drafts.js';
import { checks } from '../declared.js';
import { html } from '../html.js';
import { roundKey } from '../rounds.js';
import { to } from '../route.js';
import { Icon } from './icon.js';

/** @param {{id: string}} props */
export function HalfDone({ id }) {
  const [left, setLeft] = useState(/** @type {import('../declared.js').Check[]} */ ([]));
  useEffect(() => {
    let gone = false;
    const rounds = checks().filter((check) => check.round);
    void Promise.all(rounds.map((check) => drafts.kept(roundKey(id, check.key)).catch(() => undefined))).then(
      (kept) => {
        if (!gone) setLeft(rounds.filter((_, index) => kept[index]?.begun));
      },
    );
    return () => {
      gone = true;
    };
  }, [id]);
  return html`${left.map(
    (check) => html`<a class="key wide" key=${check.key} href=${to('case', id, 'round', check.key)}>
      <${Icon} name="onward" />Go on with: ${check.label}
    </a>`,
  )}`;
}
