/** An entry put right: another takes its place, at its time, and it is struck. */

/** Kept in the log, so in no language of its own: `casefile` puts it in words. */
const PUT_RIGHT = 'Put right';

/**
 * @param {import('../field/log.js').Entry} former
 * @param {Record<string, any>} body
 * @returns {import('../field/log.js').Draft[]}
 */
export function puttingRight(former, body) {
  const { id, case: caseId, kind, when, at } = former;
  return [
    { case: caseId, kind, body, when: when ?? { ms: at[0] } },
    { case: caseId, kind: 'struck', body: { entry: id, why: PUT_RIGHT } },
  ];
}
