/** A round: one screen a cylinder, a photo and a finding with one thumb, and on to the next by itself. */
import { useEffect, useRef, useState } from 'preact/hooks';
import * as drafts from '../../field/drafts.js';
import { newCaseId } from '../../field/log.js';
import { inHand } from '../../field/release.js';
import { useAwake } from '../awake.js';
import { check as checkOf } from '../declared.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { RoundEnd } from '../pieces/round-end.js';
import { Station } from '../pieces/round-station.js';
import { goInstead, to } from '../route.js';
import { roundKey, stations } from '../rounds.js';
import { changeSettings, settings } from '../settings.js';
import { Unknown } from './unknown.js';

/** @param {{id: string, parts: string[]}} props */
export function Round({ id, parts }) {
  const check = checkOf(parts[0]);
  if (!check?.round) return html`<${Unknown} />`;
  return html`<${OfCheck} id=${id} check=${check} />`;
}

/** @param {{id: string, check: import('../declared.js').Check}} props */
function OfCheck({ id, check }) {
  useAwake();
  useEffect(() => inHand(), []);
  const [round, change, end] = useRound(id, check);
  const open = openCase.value;
  const engine = open?.view?.engine;
  if (!round || !engine || !open.entries)
    return html`<${CaseScreen} id=${id} title=${check.label} needsView=${true} />`;

  const all = stations(engine, check, round.order);
  const at = Math.min(round.at, all.length);
  /** @param {'number' | 'firing'} order */
  const reorder = (order) => {
    changeSettings({ roundOrder: order });
    change({ order, at: stations(engine, check, order).findIndex((one) => one.number === all[at]?.number) });
  };
  const finish = async () => {
    await end();
    goInstead(to('case', id));
  };
  if (at >= all.length)
    return html`<${RoundEnd}
      id=${id}
      check=${check}
      round=${round}
      stations=${all}
      entries=${open.entries}
      onBackTo=${(/** @type {number} */ index) => change({ at: index })}
      onDone=${finish}
    />`;
  return html`<${Station}
    key=${at}
    id=${id}
    check=${check}
    round=${round}
    stations=${all}
    at=${at}
    entries=${open.entries}
    change=${change}
    reorder=${reorder}
  />`;
}

/**
 * The round as kept on the disk. `change` resolves when the change is kept.
 * @param {string} id @param {import('../declared.js').Check} check
 * @returns {[import('../rounds.js').Round | null, (part: Partial<import('../rounds.js').Round>) => Promise<void>, () => Promise<void>]}
 */
function useRound(id, check) {
  const key = roundKey(id, check.key);
  const [round, setRound] = useState(/** @type {import('../rounds.js').Round | null} */ (null));
  // Two changes in one breath: the second must know of the first.
  const latest = useRef(round);
  /** @param {import('../rounds.js').Round} changed */
  const take = (changed) => {
    latest.current = changed;
    setRound(changed);
  };
  useEffect(() => {
    void drafts
      .kept(key)
      .catch(() => undefined)
      .then((kept) => take(kept ?? atFirst()));
  }, [key]);
  /** @param {Partial<import('../rounds.js').Round>} part */
  const change = async (part) => {
    const changed = /** @type {import('../rounds.js').Round} */ ({ ...latest.current, ...part });
    take(changed);
    await drafts.keep(key, changed).catch(() => undefined);
  };
  return [round, change, () => drafts.drop(key).catch(() => undefined)];
}

/** @returns {import('../rounds.js').Round} */
function atFirst() {
  const { roundOrder, disabledBy } = settings.value;
  return { id: newCaseId(), order: roundOrder, at: 0, begun: false, disabled: disabledBy, range: {}, note: '', photos: [] };
}
