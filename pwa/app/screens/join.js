/** Somebody new comes in by the owner's link, or somebody who forgot their password sets a new one. */
import { useEffect, useState } from 'preact/hooks';
import { join, lookAtInvitation } from '../../field/session.js';
import { html } from '../html.js';
import { readPerson } from '../person.js';
import { DeviceName, phoneName } from '../pieces/device-name.js';
import { Masthead } from '../pieces/masthead.js';
import { Notice } from '../pieces/notice.js';
import { PlainField } from '../pieces/plain-field.js';
import { roleWords } from '../roles.js';
import { goInstead, to } from '../route.js';
import { phrase } from '../tongue.js';

/** @param {{token: string}} props */
export function Join({ token }) {
  const [told, setTold] = useState(/** @type {any} */ (null));
  const [ended, setEnded] = useState('');
  const [password, setPassword] = useState('');
  const [device, setDevice] = useState(phoneName());
  const [trouble, setTrouble] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  const look = () => {
    setEnded('');
    lookAtInvitation(token).then(setTold, (problem) => setEnded(problem.message));
  };
  useEffect(look, [token]);
  /** @param {Event} event */
  const submit = async (event) => {
    event.preventDefault();
    setBusy(true);
    setTrouble(null);
    try {
      await join({ token, password, deviceName: device.trim() });
      await readPerson();
      goInstead(to());
    } catch (problem) {
      setTrouble(problem);
      setBusy(false);
    }
  };
  return html`<main class="alone-in">
    <${Masthead} shop=${told?.shop} />
    <h1>${told?.new_password ? phrase('Set a new password') : phrase('Join the shop')}</h1>
    ${
      ended &&
      html`<${Notice} tone="warn" title="This link does not open">
      <p>${ended}</p>
      <div class="keys">
        <button type="button" class="key" onClick=${look}>Try again</button>
        <a class="key" href=${to()}>Sign in</a>
      </div>
    <//>`
    }
    ${!told && !ended && html`<p class="soft" aria-busy="true">Asking the shop</p>`}
    ${
      told &&
      html`<p>You are <strong>${told.name}</strong>${told.new_password ? '' : `, ${roleWords(told.role).toLowerCase()}`}. The link works once.</p>
      <form class="stack" onSubmit=${submit}>
        <input class="unseen" type="text" autocomplete="username" value=${told.name} readonly tabindex="-1" aria-hidden="true" />
        <${PlainField}
          label="Password"
          type="password"
          value=${password}
          onInput=${setPassword}
          autocomplete="new-password"
          required
          problem=${trouble?.field === 'password' ? trouble.message : ''}
          help="Of your own choice; long is better than complicated."
        />
        <${DeviceName} value=${device} onInput=${setDevice} />
        ${trouble && trouble.field !== 'password' && html`<p class="problem" role="alert">${trouble.message}</p>`}
        <button class="key main wide tall" aria-busy=${busy} disabled=${busy}>${told.new_password ? phrase('Keep the new password') : phrase('Join')}</button>
      </form>`
    }
  </main>`;
}
