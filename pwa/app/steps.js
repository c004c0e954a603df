/** From a proposed step to the screen that records it, filled in as far as it is known. */
import * as drafts from '../field/drafts.js';
import { check } from './declared.js';
import { go, to } from './route.js';

/** @param {string} id  of the case @param {any} step  of the diagnosis */
export async function startStep(id, step) {
  const body = step.body ?? {};
  const keep = (/** @type {string} */ screen, /** @type {any} */ values) =>
    drafts.keep(`form/${id}/${screen}`, values).catch(() => undefined);
  switch (step.kind) {
    case 'parts_moved':
      await keep('moves', { moves: body.moves, kind: (body.moves?.[0]?.from ?? 'coil').split('.')[0] });
      return go(to('case', id, 'moves'));
    case 'check': {
      const one = !body.cylinder && !body.place && check(body.check)?.round;
      if (one) return go(to('case', id, 'round', body.check));
      await keep(`check-${body.check}`, body);
      return go(to('case', id, 'check', body.check));
    }
    case 'repair':
      await keep('repair', body);
      return go(to('case', id, 'repair'));
    case 'codes_read':
      return go(to('case', id, 'codes'));
    case 'codes_cleared':
      return go(to('case', id, 'clear'));
    case 'road_test':
      return go(to('case', id, 'drive'));
    case 'case_closed':
      return go(to('case', id, 'close'));
    default:
      return go(to('case', id, 'note'));
  }
}
