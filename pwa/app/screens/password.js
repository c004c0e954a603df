/** One's own password. Needs a connection. */
import { useState } from 'preact/hooks';
import { send } from '../../field/shop.js';
import { html } from '../html.js';
import { person } from '../person.js';
import { PlainField } from '../pieces/plain-field.js';
import { Screen } from '../pieces/screen.js';
import { goInstead, to } from '../route.js';
import { say } from '../said.js';
import { phrase } from '../tongue.js';

export function Password() {
  const [old, setOld] = useState('');
  const [fresh, setFresh] = useState('');
  const [trouble, setTrouble] = useState(/** @type {any} */ (null));
  const [busy, setBusy] = useState(false);
  /** @param {string} field */
  const problem = (field) => (trouble?.field === field ? trouble.message : '');
  /** @param {Event} event */
  const submit = async (event) => {
    event.preventDefault();
    setBusy(true);
    setTrouble(null);
    try {
      await send('POST', '/api/password', { json: { password: old, new_password: fresh } });
      say(phrase('The new password holds from now on'));
      goInstead(to('settings'));
    } catch (found) {
      setTrouble(found);
      setBusy(false);
    }
  };
  return html`<${Screen} title="Change the password" back=${to('settings')}>
    <form class="stack" onSubmit=${submit}>
      <input class="unseen" type="text" autocomplete="username" value=${person.value?.person.name} readonly tabindex="-1" aria-hidden="true" />
      <${PlainField} label="Password now" type="password" value=${old} onInput=${setOld} autocomplete="current-password" required problem=${problem('password')} />
      <${PlainField}
        label="New password"
        type="password"
        value=${fresh}
        onInput=${setFresh}
        autocomplete="new-password"
        required
        problem=${problem('new_password')}
        help="Long is better than complicated. Your devices stay signed in."
      />
      ${trouble && !['password', 'new_password'].includes(trouble.field) && html`<p class="problem" role="alert">${trouble.message}</p>`}
      <button class="key main" aria-busy=${busy} disabled=${busy}>Change it</button>
    </form>
    <p class="soft">Forgotten? The owner makes a link for a new one under People.</p>
  <//>`;
}
