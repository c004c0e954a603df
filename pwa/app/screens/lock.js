/** The lock after the application lay idle: set, changed, taken away. It works without a connection. */
import { useEffect, useState } from 'preact/hooks';
import { setCode, setIdleMinutes, setPasskey, SHORTEST_CODE, takeAwayLock } from '../../field/lock.js';
import { passkeyOffered } from '../../field/passkey.js';
import { html } from '../html.js';
import { lock, shut } from '../idle.js';
import { person } from '../person.js';
import { PlainField } from '../pieces/plain-field.js';
import { Screen } from '../pieces/screen.js';
import { Sure } from '../pieces/sure.js';
import { to } from '../route.js';
import { say, sayTrouble } from '../said.js';
import { phrase } from '../tongue.js';

const MINUTES = [1, 5, 15, 60];

export function LockScreen() {
  const kept = lock.value;
  const [minutes, setMinutes] = useState(kept?.idleMinutes ?? 5);
  const [code, setCodeTyped] = useState('');
  const [again, setAgain] = useState('');
  const [trouble, setTrouble] = useState('');
  const [busy, setBusy] = useState(false);
  /** @param {number} chosen */
  const choose = (chosen) => {
    setMinutes(chosen);
    void setIdleMinutes(chosen);
  };
  /** @param {Event} event */
  const submit = async (event) => {
    event.preventDefault();
    if (code !== again) {
      setTrouble(phrase('The two codes differ. Type the same one twice.'));
      return;
    }
    setBusy(true);
    setTrouble('');
    try {
      await setCode(code, minutes);
      say(phrase('The code is set'));
      setCodeTyped('');
      setAgain('');
    } catch (problem) {
      setTrouble(/** @type {Error} */ (problem).message);
    }
    setBusy(false);
  };
  return html`<${Screen} title="Lock" back=${to('settings')}>
    <p>After nobody touched it for a while, the application asks for a code before it opens again. What is being recorded goes on below.</p>
    <p class="soft">
      It keeps out whoever picks up this device. It does not encrypt the records: for a phone in the wrong hands, lock the phone itself, and have it shut out.
    </p>
    <fieldset class="field">
      <legend>Lock after</legend>
      <div class="choices">
        ${MINUTES.map(
          (one) => html`<label class="choice" key=${one}>
          <input type="radio" name="minutes" checked=${minutes === one} onChange=${() => choose(one)} />
          <span>${phrase('{n} minute|{n} minutes', { n: one })}</span>
        </label>`,
        )}
      </div>
    </fieldset>
    <form class="stack close" onSubmit=${submit}>
      <${PlainField}
        label=${kept ? phrase('New code') : phrase('Code')}
        type="password"
        value=${code}
        onInput=${setCodeTyped}
        autocomplete="off"
        required
        minlength=${SHORTEST_CODE}
        help="At least four digits or letters. Forgotten, your password opens it too, with a connection."
      />
      <${PlainField} label="The same once more" type="password" value=${again} onInput=${setAgain} autocomplete="off" required problem=${trouble} />
      <button class="key main" aria-busy=${busy} disabled=${busy}>${kept ? phrase('Change the code') : phrase('Set the lock')}</button>
    </form>
    ${
      kept &&
      html`<section class="stack close">
      <h2>Fingerprint or face</h2>
      <${Fingerprint} />
      <div class="keys">
        <button type="button" class="key" onClick=${shut}>Lock now</button>
        <${Sure} words="Take the lock away" sure="Yes, take it away" onSure=${takeAwayLock} />
      </div>
    </section>`
    }
  <//>`;
}

function Fingerprint() {
  const [offered, setOffered] = useState(false);
  useEffect(() => void passkeyOffered().then(setOffered), []);
  const add = async () => {
    const me = person.value?.person;
    if (!me) return;
    try {
      await setPasskey(me);
      say(phrase('The phone itself opens it now, too'));
    } catch {
      sayTrouble(phrase('The phone did not set it up. Try again, or keep to the code.'));
    }
  };
  if (lock.value?.passkey) return html`<p>What opens this device (fingerprint, face or its screen code) opens the application too.</p>`;
  if (!offered) return html`<p class="soft">This device or this address does not offer it; the code always works.</p>`;
  return html`<button type="button" class="key" onClick=${() => void add()}>Open it by fingerprint or face too</button>`;
}
