/** The first owner, made from the one-time link. */
import { useState } from 'preact/hooks';
import { makeOwner } from '../../field/session.js';
import { html } from '../html.js';
import { readPerson } from '../person.js';
import { DeviceName, phoneName } from '../pieces/device-name.js';
import { Masthead } from '../pieces/masthead.js';
import { PlainField } from '../pieces/plain-field.js';
import { goInstead, to } from '../route.js';

/** @param {{token: string}} props */
export function Owner({ token }) {
  const [filled, setFilled] = useState({ shop: '', phone: '', name: '', password: '', device: phoneName() });
  const [trouble, setTrouble] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  /** @param {keyof typeof filled} key */
  const fill = (key) => (/** @type {string} */ value) => setFilled((before) => ({ ...before, [key]: value }));
  /** @param {string} key */
  const problem = (key) => (trouble?.field === key ? trouble.message : '');

  /** @param {Event} event */
  const submit = async (event) => {
    event.preventDefault();
    setBusy(true);
    setTrouble(null);
    try {
      const { shop, phone, name, password, device } = filled;
      await makeOwner({
        token,
        shop: shop.trim(),
        phone: phone.trim(),
        name: name.trim(),
        password,
        deviceName: device.trim(),
      });
      await readPerson();
      goInstead(to());
    } catch (found) {
      setTrouble(found);
      setBusy(false);
    }
  };

  return html`<main class="alone-in">
    <${Masthead} />
    <h1>Set up this shop</h1>
    <p>You are its first person and its owner. The link works once.</p>
    <form class="stack" onSubmit=${submit}>
      <${PlainField}
        label="Name of the shop"
        value=${filled.shop}
        onInput=${fill('shop')}
        autocomplete="organization"
        required
        problem=${problem('shop')}
        help="It stands on tags, so that a lost part finds its way back."
      />
      <${PlainField}
        label="Phone of the shop"
        type="tel"
        value=${filled.phone}
        onInput=${fill('phone')}
        autocomplete="tel"
        problem=${problem('phone')}
        help="It stands on tags too."
      />
      <${PlainField}
        label="Your name"
        value=${filled.name}
        onInput=${fill('name')}
        autocomplete="username"
        required
        problem=${problem('name')}
      />
      <${PlainField}
        label="Password"
        type="password"
        value=${filled.password}
        onInput=${fill('password')}
        autocomplete="new-password"
        required
        problem=${problem('password')}
        help="Long is better than complicated."
      />
      <${DeviceName} value=${filled.device} onInput=${fill('device')} />
      ${
        trouble &&
        !['shop', 'phone', 'name', 'password'].includes(trouble.field) &&
        html`<p
        class="problem"
        role="alert"
      >${trouble.message}</p>`
      }
      <button class="key main wide tall" aria-busy=${busy} disabled=${busy}>Make me the owner</button>
    </form>
  </main>`;
}
