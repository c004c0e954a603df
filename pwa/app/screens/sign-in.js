/** Sign in on this phone, once; from then on it works alone. */
import { useEffect, useState } from 'preact/hooks';
import { SessionError, shopState, signIn } from '../../field/session.js';
import { html } from '../html.js';
import { readPerson } from '../person.js';
import { DeviceName, phoneName } from '../pieces/device-name.js';
import { Masthead } from '../pieces/masthead.js';
import { Notice } from '../pieces/notice.js';
import { PlainField } from '../pieces/plain-field.js';
import { person } from '../person.js';

/** @param {{onDone?: () => void}} props */
export function SignIn({ onDone }) {
  const [name, setName] = useState(person.value?.person.name ?? '');
  const [password, setPassword] = useState('');
  const [device, setDevice] = useState(phoneName());
  const [trouble, setTrouble] = useState(/** @type {SessionError | null} */ (null));
  const [busy, setBusy] = useState(false);
  const [shop, setShop] = useState(/** @type {any} */ (null));

  useEffect(() => {
    shopState().then(setShop, () => setShop({ unreachable: true }));
  }, []);

  /** @param {Event} event */
  const submit = async (event) => {
    event.preventDefault();
    setBusy(true);
    setTrouble(null);
    try {
      await signIn({ name: name.trim(), password, deviceName: device.trim() });
      await readPerson();
      onDone?.();
    } catch (problem) {
      setTrouble(/** @type {SessionError} */ (problem));
      setBusy(false);
    }
  };

  return html`<main class="alone-in">
    <${Masthead} shop=${shop?.shop_name} />
    <h1>Sign in</h1>
    ${
      shop?.needs_owner &&
      html`<${Notice} title="This shop has no owner yet">
        <p>Open the one-time link that the first start of the server printed.</p>
      <//>`
    }
    ${
      shop?.unreachable &&
      html`<${Notice}
        tone="warn"
        title="No connection to the shop"
      ><p>Signing in needs a connection once. After that this device works without one.</p><//>`
    }
    <form class="stack" onSubmit=${submit}>
      <${PlainField}
        label="Your name"
        value=${name}
        onInput=${setName}
        autocomplete="username"
        required
        problem=${trouble?.field === 'name' ? trouble.message : ''}
      />
      <${PlainField}
        label="Password"
        type="password"
        value=${password}
        onInput=${setPassword}
        autocomplete="current-password"
        required
        problem=${trouble?.field === 'password' ? trouble.message : ''}
      />
      <${DeviceName} value=${device} onInput=${setDevice} />
      ${
        trouble &&
        !['name', 'password'].includes(trouble.field ?? '') &&
        html`<p
        class="problem"
        role="alert"
      >${trouble.message}</p>`
      }
      <button class="key main wide tall" aria-busy=${busy} disabled=${busy}>Sign in</button>
    </form>
  </main>`;
}
