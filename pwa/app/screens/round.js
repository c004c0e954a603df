/** A round: one screen a cylinder, a photo and a finding with one thumb, and on to the next by itself. */
import { useEffect, useRef, useState } from 'preact/hooks';
import * as drafts from '../../field/drafts.js';
import { newCaseId } from '../../field/log.js';
import { inHand } from '../../field/release.js';
import { useAwake } from '../awake.js';
import { check as checkOf } from '../declared.js';
import { html } from '../html.js';
import { caseEntries, caseView } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { RoundEnd } from '../pieces/round-end.js';
import { Station } from '../pieces/round-station.js';
import { goInstead, home } from '../route.js';
import { roundKey, stations } from '../rounds.js';
import { changeSettings, settings } from '../settings.js';
import { startStep } from '../steps.js';
import { Unknown } from './unknown.js';

/** @param {{id: string, parts: string[]}} props  `parts`: the check, and the cylinders where not all ("1-3") */
export function Round({ id, parts }) {
  const check = checkOf(parts[0]);
  if (!check?.round) return html`<${Unknown} />`;
  return html`<${OfCheck} id=${id} check=${check} only=${parts[1]} />`;
}

/** @param {{id: string, check: import('../declared.js').Check, only?: string}} props */
function OfCheck({ id, check, only }) {
  useAwake();
  useEffect(() => inHand(), []);
  const [round, change, end] = useRound(roundKey(id, check.key, only));
  const engine = caseView.value?.engine;
  const entries = caseEntries.value;
  if (!round || !engine || !entries)
    return html`<${CaseScreen} id=${id} title=${check.label} needsView=${true} />`;

  const all = stations(engine, check, round.order, only);
  const at = Math.min(round.at, all.length);
  /** @param {'number' | 'firing'} order */
  const reorder = (order) => {
    changeSettings({ roundOrder: order });
    change({ order, at: stations(engine, check, order, only).findIndex((one) => one.number === all[at]?.number) });
  };
  /** @param {any} [step]  of the diagnosis, to go on with */
  const finish = async (step) => {
    await end();
    if (step) await startStep(id, step, goInstead);
    else goInstead(home(id));
  };
  if (at >= all.length)
    return html`<${RoundEnd}
      id=${id}
      check=${check}
      round=${round}
      stations=${all}
      entries=${entries}
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
    entries=${entries}
    change=${change}
    reorder=${reorder}
  />`;
}

/**
 * The round as kept on the disk. `change` resolves when the change is kept.
 * @param {string} key
 * @returns {[import('../rounds.js').Round | null, import('../rounds.js').ChangeRound, () => Promise<void>]}
 */
function useRound(key) {
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
  /** @type {import('../rounds.js').ChangeRound} */
  const change = async (given) => {
    const before = /** @type {import('../rounds.js').Round} */ (latest.current);
    const changed = { ...before, ...(typeof given === 'function' ? given(before) : given) };
    take(changed);
    await drafts.keep(key, changed).catch(() => undefined);
  };
  return [round, change, () => drafts.drop(key).catch(() => undefined)];
}

/** @returns {import('../rounds.js').Round} */
function atFirst() {
  return { id: newCaseId(), order: settings.value.roundOrder, at: 0, begun: false, disabled: '', range: {}, note: '', photos: [] };
}
