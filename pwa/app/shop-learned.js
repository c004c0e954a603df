/**
 * What the closed cases on this phone teach. Worked out in the background and kept, so that opening a case waits for
 * nothing; the case then carries its table for good, and everybody judges it by the same numbers.
 */
import { ask } from '../field/core.js';
import * as drafts from '../field/drafts.js';
import { caseList, entriesOf } from '../field/log.js';

const KEPT = 'learned';

/** Work it out anew. @returns {Promise<import('../field/core.js').Answer>} `learned`, see DEVELOPERS.md */
export async function learn() {
  const closed = (await caseList()).filter(({ status }) => status === 'closed');
  const entries = (await Promise.all(closed.map((one) => entriesOf(one.case)))).flat();
  const learned = await ask('learned', { entries }, { topic: 'learned', priority: -1 });
  if (!learned.error) await drafts.keep(KEPT, learned.table).catch(() => undefined);
  return learned;
}

/** The table for a case opened now: the last worked out, or nothing where no case has taught anything. */
export async function tableForNewCase() {
  const table = await drafts.kept(KEPT).catch(() => undefined);
  return table && table.version !== 'default' ? { table } : {};
}
