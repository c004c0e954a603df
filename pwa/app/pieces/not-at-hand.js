/** A tool that a step wants is not there: today, or at all. It is named before it is taken out of the advice. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { tools } from '../declared.js';
import { html } from '../html.js';
import { bringInSight } from '../in-sight.js';
import { thinkAgain } from '../open-case.js';
import { haveNone, notToday, toolsFor } from '../tools-here.js';

/** @param {{id: string, wanted: string[]}} props  `wanted`: keys of the tools that the step wants, or can do with */
export function NotAtHand({ id, wanted }) {
  const [asked, setAsked] = useState(false);
  const asking = useRef(/** @type {HTMLDivElement | null} */ (null));
  const [here, setHere] = useState(/** @type {string[]} */ ([]));
  useEffect(() => bringInSight(asking.current), [asked]); // it unfolds where the keys may be
  if (!asked) return html`<button type="button" class="key quiet" onClick=${() => setAsked(true)}>Not at hand</button>`;
  const held = toolsFor(id);
  const named = tools().filter(({ value }) => wanted.includes(value) && (!held || held.includes(value)));
  const missing = named.map(({ value }) => value).filter((value) => !here.includes(value));
  /** @param {string} tool */
  const turn = (tool) => setHere(here.includes(tool) ? here.filter((one) => one !== tool) : [...here, tool]);
  /** @param {() => void} leaveOut */
  const take = (leaveOut) => {
    setAsked(false);
    leaveOut();
    thinkAgain();
    // What comes instead stands where this step stood: in sight, also from far down the list.
    const step = asking.current?.closest('.step');
    requestAnimationFrame(() => step && bringInSight(step.querySelector('.lettered') ?? step));
  };
  return html`<div class="stack close" ref=${asking}>
    <fieldset class="field">
      <legend>Not at hand</legend>
      <div class="choices one-a-line">
        ${named.map(
          ({ value, label }) => html`<label class="choice" key=${value}>
          <input type="checkbox" checked=${!here.includes(value)} onChange=${() => turn(value)} /><span>${label}</span>
        </label>`,
        )}
      </div>
    </fieldset>
    <div class="keys">
      <button type="button" class="key" disabled=${!missing.length} onClick=${() => take(() => notToday(id, missing))}>Not today</button>
      <button type="button" class="key" disabled=${!missing.length} onClick=${() => take(() => haveNone(missing))}>I have none</button>
      <button type="button" class="key quiet" onClick=${() => setAsked(false)}>Leave it</button>
    </div>
    <p class="soft">Not today: this case does without. I have none: every case on this device does.</p>
  </div>`;
}
