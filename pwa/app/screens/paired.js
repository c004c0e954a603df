/** A phone that scanned the square of a desk: it names itself and is signed in. */
import { useState } from 'preact/hooks';
import { pair } from '../../field/session.js';
import { html } from '../html.js';
import { readPerson } from '../person.js';
import { DeviceName, phoneName } from '../pieces/device-name.js';
import { Masthead } from '../pieces/masthead.js';
import { goInstead, to } from '../route.js';

/** @param {{token: string}} props */
export function Paired({ token }) {
  const [device, setDevice] = useState(phoneName());
  const [trouble, setTrouble] = useState('');
  const [busy, setBusy] = useState(false);
  /** @param {Event} event */
  const submit = async (event) => {
    event.preventDefault();
    setBusy(true);
    setTrouble('');
    try {
      await pair({ token, deviceName: device.trim() });
      await readPerson();
      goInstead(to());
    } catch (problem) {
      setTrouble(/** @type {Error} */ (problem).message);
      setBusy(false);
    }
  };
  return html`<main class="alone-in">
    <${Masthead} />
    <h1>Pair this phone</h1>
    <p>It is signed in as whoever shows the code. What is recorded here stays here.</p>
    <form class="stack" onSubmit=${submit}>
      <${DeviceName} value=${device} onInput=${setDevice} />
      ${trouble && html`<p class="problem" role="alert">${trouble}</p>`}
      <button class="key main wide tall" aria-busy=${busy} disabled=${busy}>Pair this phone</button>
      ${trouble && html`<a class="key" href=${to()}>Sign in with name and password</a>`}
    </form>
  </main>`;
}
