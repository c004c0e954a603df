/** Asks, before a reading is recorded that can hardly be meant, whether it was; beside its field, and nothing is forbidden. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { html } from '../html.js';
import { bringInSight } from '../in-sight.js';
import { caseEntries } from '../open-case.js';
import { phrase } from '../tongue.js';
import { asTyped } from '../units.js';
import { Notice } from './notice.js';

/** `shown`: what is doubted, in words, where it is no figure. @typedef {{field: string, text: string, origin: string, shown?: string, instead: {value: any, text: string}[]}} Doubt */

const READINGS = ['reading', 'rpm_before', 'rpm_during']; // what the core may doubt: nothing else waits for it
const PATIENCE = 1500; // ms that the core is waited for: recording does not wait for thinking

/**
 * `settled` gives the fields as they are to be recorded, or null where one is to be corrected first; `question` is shown
 * meanwhile, `withdraw` takes it back. What was confirmed once is not asked about again.
 */
export function useMeant() {
  const [asked, setAsked] = useState(/** @type {{doubt: Doubt, value: any} | null} */ (null));
  const answering = useRef(/** @type {(value: any) => void} */ (() => undefined));
  const sure = useRef(/** @type {Set<string>} */ (new Set()));
  const looking = useRef(false);
  const withdraw = () => answering.current(undefined);
  useEffect(() => withdraw, []);

  /** @param {Record<string, any>} body  of a check @returns {Promise<Record<string, any> | null>} the fields of it that were corrected */
  const settled = async (body) => {
    if (looking.current) return null; // the second tap of two
    withdraw();
    if (!READINGS.some((name) => body[name] !== undefined)) return {};
    looking.current = true;
    const late = new Promise((resolve) => setTimeout(() => resolve({}), PATIENCE));
    const { doubts = [] } = /** @type {{doubts?: Doubt[]}} */ (await Promise.race([ask('meant', { body, entries: caseEntries.peek() ?? [] }, { priority: 3 }), late]));
    looking.current = false;
    /** @type {Record<string, any>} */
    const corrected = {};
    for (const doubt of doubts) {
      const value = body[doubt.field];
      const name = JSON.stringify([doubt.field, value]);
      if (sure.current.has(name)) continue;
      const answer = await new Promise((resolve) => {
        answering.current = resolve;
        setAsked({ doubt, value });
      });
      setAsked(null);
      if (answer === undefined) return null;
      if (answer === value) sure.current.add(name);
      else corrected[doubt.field] = answer;
    }
    return corrected;
  };
  const question = asked && html`<${Question} ...${asked} onAnswer=${(/** @type {any} */ value) => answering.current(value)} />`;
  return { settled, withdraw, question };
}

/** @param {{doubt: Doubt, value: any, onAnswer: (value: any) => void}} props  the answer `undefined`: it is typed anew */
function Question({ doubt, value, onAnswer }) {
  const here = useRef(/** @type {HTMLDivElement | null} */ (null));
  useEffect(() => {
    // The keyboard of the phone would hide the question; the field stays where the thumb left it.
    const focused = document.activeElement;
    if (focused instanceof HTMLElement) focused.blur();
    here.current?.focus({ preventScroll: true });
    bringInSight(here.current);
  }, []);
  const again = () => {
    onAnswer(undefined);
    const names = doubt.shown ? READINGS.toReversed() : [doubt.field];
    const fields = names.map((name) => /** @type {HTMLInputElement | null} */ (document.getElementById(`f-${name}`)));
    const field = fields.find(Boolean);
    field?.focus();
    field?.select();
  };
  const figure = doubt.shown ? `“${doubt.shown}”` : typeof value === 'object' ? asTyped(value) : `${value} rpm`;
  return html`<div class="meant" role="alertdialog" aria-label="Is that what was read?" tabindex="-1" ref=${here}>
    <${Notice} tone="warn">${doubt.text}<//>
    <div class="stack close">
      ${doubt.instead.slice(0, 2).map(
        (one) => html`<button type="button" class="key wide" key=${one.text} onClick=${() => onAnswer(one.value)}>
          ${phrase('It was {figure}', { figure: doubt.shown ? `“${one.text}”` : one.text })}
        </button>`,
      )}
      <button type="button" class="key wide" onClick=${again}>Type it anew</button>
      <button type="button" class="key quiet wide" onClick=${() => onAnswer(value)}>${
        doubt.shown ? phrase('{figure} was found, keep it', { figure }) : phrase('{figure} was read, keep it', { figure })
      }</button>
    </div>
  </div>`;
}
