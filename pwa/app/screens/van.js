/** What is in the van: only what can be done with it is proposed. */
import { tools } from '../declared.js';
import { html } from '../html.js';
import { thinkAgain } from '../open-case.js';
import { Screen } from '../pieces/screen.js';
import { to } from '../route.js';
import { changeSettings, settings } from '../settings.js';
import { cameFrom } from '../way-back.js';

export function Van() {
  const all = tools().map(({ value }) => value);
  const held = settings.value.tools ?? all;
  /** @param {string[]} kept */
  const keep = (kept) => {
    // With everything at hand nothing is held back, also no tool that a newer version adds.
    changeSettings({ tools: kept.length === all.length ? null : kept });
    thinkAgain();
  };
  /** @param {string} tool */
  const turn = (tool) => keep(all.filter((one) => held.includes(one) !== (one === tool)));
  return html`<${Screen} title="Tools in the van" back=${cameFrom(to('settings'))}>
    <p>A step that needs what is not here is not proposed. It can be recorded all the same.</p>
    <fieldset class="field">
      <legend>In the van</legend>
      <div class="choices">
        ${tools().map(
          ({ value, label }) => html`<label class="choice" key=${value}>
          <input type="checkbox" checked=${held.includes(value)} onChange=${() => turn(value)} /><span>${label}</span>
        </label>`,
        )}
      </div>
    </fieldset>
    <div class="keys">
      <button type="button" class="key" onClick=${() => keep(all)}>All of it</button>
      <button type="button" class="key" onClick=${() => keep([])}>Nothing but hands</button>
    </div>
    <p class="soft">Kept on this device.</p>
  <//>`;
}
