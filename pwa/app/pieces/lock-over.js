/**
 * What stands over everything while the application is locked. The screen below is not taken away: a form half filled, a
 * round or a drive under way goes on below and is there again.
 */
import { useEffect, useRef, useState } from 'preact/hooks';
import { forgetFailures, tryCode, tryPasskey } from '../../field/lock.js';
import { signIn } from '../../field/session.js';
import { html } from '../html.js';
import { lock, locked, open } from '../idle.js';
import { person } from '../person.js';
import { phrase } from '../tongue.js';
import { Masthead } from './masthead.js';
import { PlainField } from './plain-field.js';
import { sync } from './sync-strip.js';

export function LockOver() {
  if (!locked.value) return null;
  return html`<${Shut} />`;
}

function Shut() {
  const dialog = useRef(/** @type {HTMLDialogElement | null} */ (null));
  const [forgotten, setForgotten] = useState(false);
  useEffect(() => {
    const shown = dialog.current;
    shown?.showModal();
    return () => shown?.close();
  }, []);
  // Some browsers close a dialog on the second escape, whatever is said.
  const again = () => {
    if (locked.value && dialog.current && !dialog.current.open) dialog.current.showModal();
  };
  return html`<dialog class="lock-over" aria-labelledby="lock-title" ref=${dialog} onCancel=${(/** @type {Event} */ event) => event.preventDefault()} onClose=${again}>
    <div class="alone-in">
      <${Masthead} shop=${person.value?.shop.name} />
      <h1 id="lock-title">Locked</h1>
      <p>Everything stands as it was left. Nothing recorded is lost.</p>
      ${forgotten ? html`<${ByPassword} onBack=${() => setForgotten(false)} />` : html`<${ByCode} onForgotten=${() => setForgotten(true)} />`}
    </div>
  </dialog>`;
}

/** @param {{onForgotten: () => void}} props */
function ByCode({ onForgotten }) {
  const [code, setCode] = useState('');
  const [trouble, setTrouble] = useState('');
  const [busy, setBusy] = useState(false);
  /** @param {Event} event */
  const submit = async (event) => {
    event.preventDefault();
    setBusy(true);
    setTrouble('');
    const { open: right, waitMs } = await tryCode(code);
    setBusy(false);
    setCode('');
    if (right) open();
    else setTrouble(waitMs > 0 ? phrase('Wait {n} second, then try again.|Wait {n} seconds, then try again.', { n: Math.ceil(waitMs / 1000) }) : phrase('This is not the code. Try again.'));
  };
  const recognise = async () => {
    setTrouble('');
    if (await tryPasskey()) open();
    else setTrouble(phrase('The phone did not recognize you. Try again, or give the code.'));
  };
  return html`<form class="stack" onSubmit=${submit}>
    ${lock.value?.passkey && html`<button type="button" class="key main wide tall" onClick=${() => void recognise()}>Fingerprint or face</button>`}
    <${PlainField} label="Code" type="password" value=${code} onInput=${setCode} autocomplete="off" required problem=${trouble} />
    <button class=${`key wide tall ${lock.value?.passkey ? '' : 'main'}`} aria-busy=${busy} disabled=${busy}>Open</button>
    <button type="button" class="key quiet" onClick=${onForgotten}>I do not know the code</button>
  </form>`;
}

/** With a connection, name and password open it as well; the code stays until it is changed. @param {{onBack: () => void}} props */
function ByPassword({ onBack }) {
  const [password, setPassword] = useState('');
  const [trouble, setTrouble] = useState('');
  const [busy, setBusy] = useState(false);
  const name = person.value?.person.name ?? '';
  /** @param {Event} event */
  const submit = async (event) => {
    event.preventDefault();
    setBusy(true);
    setTrouble('');
    try {
      await signIn({ name, password, deviceName: '' }); // the shop keeps the name it has
      await forgetFailures();
      open();
    } catch (problem) {
      setTrouble(/** @type {Error} */ (problem).message);
    }
    setBusy(false);
  };
  return html`<form class="stack" onSubmit=${submit}>
    <p>${sync.value.online === false ? phrase('Sign in with your password instead; that needs a connection.') : phrase('Sign in with your password instead.')} Then set a new code in the settings.</p>
    <${PlainField} label=${phrase('Password of {name}', { name })} type="password" value=${password} onInput=${setPassword} autocomplete="current-password" required problem=${trouble} />
    <button class="key main wide tall" aria-busy=${busy} disabled=${busy}>Sign in</button>
    <button type="button" class="key quiet" onClick=${onBack}>Back to the code</button>
  </form>`;
}
