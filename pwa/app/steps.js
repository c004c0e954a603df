/** From a proposed step to the screen that records it, filled in as far as it is known. */
import * as drafts from '../field/drafts.js';
import { check } from './declared.js';
import { go, to } from './route.js';

/**
 * Whether an entry does what a step proposes. A part that is moved otherwise than proposed makes the proposed move another one.
 * @param {any} step  of the diagnosis
 * @param {import('../field/log.js').Entry} entry
 */
export function doneBy(step, { kind, body }) {
  if (kind !== step.kind) return false;
  const wanted = step.body ?? {};
  const same = (/** @type {string} */ name) => wanted[name] === undefined || wanted[name] === body[name];
  if (kind === 'check') return ['check', 'cylinder', 'place'].every(same);
  if (kind === 'answered') return same('question');
  return true;
}

/** What a hand has put there, whatever place it was at. */
const BY_HAND = ['note', 'for_owner', 'photos', 'voices'];

/**
 * Fill a form in for a step. What was begun there and not kept yet stays, but what was read or chosen for another place is
 * not this step's.
 * @param {string} key  of the form's draft @param {Record<string, any>} values @param {string[]} where  fields that say what it is about
 */
async function fill(key, values, where) {
  const begun = (await drafts.kept(key).catch(() => undefined)) ?? {};
  const same = where.every((name) => [undefined, values[name]].includes(begun[name]));
  const stays = same ? begun : Object.fromEntries(BY_HAND.filter((name) => begun[name]).map((name) => [name, begun[name]]));
  await drafts.keep(key, { ...stays, ...values }).catch(() => undefined);
}

/**
 * @param {string} id  of the case
 * @param {any} step  of the diagnosis
 * @param {(hash: string) => void} [lead]  how to get there: `goInstead` where this screen is left for good
 */
export async function startStep(id, step, lead = go) {
  const body = step.body ?? {};
  const keep = (/** @type {string} */ screen, /** @type {any} */ values, /** @type {string[]} */ where) =>
    fill(`form/${id}/${screen}`, values, where);
  switch (step.kind) {
    case 'parts_moved':
      await keep('moves', { moves: body.moves, kind: (body.moves?.[0]?.from ?? 'coil').split('.')[0] }, []);
      return lead(to('case', id, 'moves'));
    case 'check': {
      const all = !body.cylinder && !body.place && check(body.check)?.round;
      if (all) return lead(to('case', id, 'round', body.check, ...(body.cylinders ? [body.cylinders.join('-')] : [])));
      await keep(`check-${body.check}`, body, ['cylinder', 'place']);
      return lead(to('case', id, 'check', body.check));
    }
    case 'repair':
      await keep('repair', body, ['work', 'place', 'component']);
      return lead(to('case', id, 'repair'));
    case 'codes_read':
      return lead(to('case', id, 'codes'));
    case 'codes_cleared':
      return lead(to('case', id, 'clear'));
    case 'road_test':
      return lead(to('case', id, 'drive'));
    case 'case_reopened':
      return lead(to('case', id, 'reopen'));
    case 'case_closed':
      return lead(to('case', id, 'close'));
    default:
      return lead(to('case', id, 'note'));
  }
}
