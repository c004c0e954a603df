/** Who works here: what each may do, and how somebody new comes in. The owner changes it. Needs a connection. */
import { useState } from 'preact/hooks';
import { change, make } from '../asking.js';
import { html } from '../html.js';
import { person } from '../person.js';
import { FromShop, useFromShop } from '../pieces/from-shop.js';
import { OneTimeLink } from '../pieces/one-time-link.js';
import { PlainField } from '../pieces/plain-field.js';
import { Screen } from '../pieces/screen.js';
import { Sure } from '../pieces/sure.js';
import { isOneOf, ROLES, roleWords } from '../roles.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { moment } from '../words.js';

export function People() {
  const asked = useFromShop('/api/people');
  return html`<${Screen} title="People" back=${to('settings')}>
    <${FromShop} asked=${asked} what="The people">
      <ul class="ruled">
        ${(asked.found?.people ?? []).map((/** @type {any} */ one) => html`<li key=${one.id}><${One} one=${one} onChange=${asked.read} /></li>`)}
      </ul>
    <//>
    ${isOneOf('owner') && html`<${Invitations} />`}
  <//>`;
}

/** @param {{one: any, onChange: () => Promise<void>}} props */
function One({ one, onChange }) {
  const [open, setOpen] = useState(false);
  const [link, setLink] = useState(/** @type {any} */ (null));
  const [role, setRole] = useState(one.role);
  const path = `/api/people/${one.id}`;
  /** @param {object} what @param {string} done */
  const set = async (what, done) => {
    await change('PATCH', path, what, done);
    await onChange();
  };
  const mine = one.id === person.value?.person.id;
  return html`<div class="device-row">
    <p><strong>${one.name}</strong> ${mine && phrase('(you)')}</p>
    <p class="soft">${one.works_here ? roleWords(one.role) : phrase('{role}, works here no more', { role: roleWords(one.role) })}</p>
    ${
      isOneOf('owner') &&
      html`<button type="button" class="key" aria-expanded=${open} onClick=${() => setOpen(!open)}>
        Change<span class="unseen"> ${one.name}</span>
      </button>`
    }
    ${
      open &&
      html`<div class="stack close">
      ${one.works_here && html`<${RoleChoice} name=${`role-${one.id}`} legend=${phrase('Role of {name}', { name: one.name })} value=${role} onChange=${setRole} />`}
      ${role !== one.role && html`<button type="button" class="key main" onClick=${() => void set({ role }, phrase('{name} is {role} now', { name: one.name, role: roleWords(role).toLowerCase() }))}>Make ${one.name} ${roleWords(role).toLowerCase()}</button>`}
      ${link && html`<${OneTimeLink} link=${link.link} expires=${link.expires_ms} label=${phrase('Square with the link by which {name} sets a new password', { name: one.name })} onDone=${() => setLink(null)} />`}
      ${
        one.works_here
          ? html`<div class="keys">
              <button type="button" class="key" onClick=${async () => setLink(await make(`${path}/password-link`, {}))}>Link for a new password</button>
              <${Sure} words="Works here no more" sure=${phrase('End the sign-in of {name}', { name: one.name })} onSure=${() => set({ works_here: false }, phrase('{name} signs in no more', { name: one.name }))} />
            </div>
            <p class="soft">Who works here no more is shut out on every device. What they recorded stays.</p>`
          : html`<button type="button" class="key" onClick=${() => void set({ works_here: true }, phrase('{name} may sign in again', { name: one.name }))}>Works here again</button>`
      }
    </div>`
    }
  </div>`;
}

/** @param {{name: string, legend: string, value: string, onChange: (role: string) => void}} props */
function RoleChoice({ name, legend, value, onChange }) {
  return html`<fieldset class="field">
    <legend>${legend}</legend>
    <div class="choices">
      ${ROLES.map(
        ([role, label, does]) => html`<label class="choice" key=${role}>
        <input type="radio" name=${name} checked=${value === role} onChange=${() => onChange(role)} />
        <span class="choice-wide">${label}<small class="choice-more">${does}</small></span>
      </label>`,
      )}
    </div>
  </fieldset>`;
}

function Invitations() {
  const asked = useFromShop('/api/invitations');
  const [name, setName] = useState('');
  const [role, setRole] = useState('mechanic');
  const [made, setMade] = useState(/** @type {any} */ (null));
  /** @param {Event} event */
  const invite = async (event) => {
    event.preventDefault();
    const link = await make('/api/invitations', { name: name.trim(), role });
    if (!link) return;
    setMade({ ...link, name: name.trim() });
    setName('');
    await asked.read();
  };
  /** @param {any} one */
  const withdraw = async (one) => {
    await change('DELETE', `/api/invitations/${one.id}`, undefined, phrase('The link for {name} is good for nothing now', { name: one.name }));
    await asked.read();
  };
  return html`<section class="stack close">
    <h2>Invite somebody</h2>
    ${
      made
        ? html`<p>Let ${made.name} scan this, or send them the link. They choose their own password.</p>
          <${OneTimeLink} link=${made.link} expires=${made.expires_ms} label=${phrase('Square with the invitation of {name}', { name: made.name })} onDone=${() => setMade(null)} />`
        : html`<form class="stack close" onSubmit=${invite}>
          <${PlainField} label="Name" value=${name} onInput=${setName} required maxlength="120" autocomplete="off" help="They sign in with it, and it stands beside what they record." />
          <${RoleChoice} name="role-new" legend="Role" value=${role} onChange=${setRole} />
          <button class="key main">Invite</button>
        </form>`
    }
    <${FromShop} asked=${asked} what="The open invitations">
      ${asked.found?.invitations.length > 0 && html`<h2>Open links</h2>`}
      <ul class="ruled">
        ${(asked.found?.invitations ?? []).map(
          (/** @type {any} */ one) => html`<li key=${one.id} class="device-row">
          <p><strong>${one.name}</strong></p>
          <p class="soft">${one.new_password ? phrase('a new password') : roleWords(one.role)}, runs out ${moment(one.expires_ms)}</p>
          <${Sure} words="Withdraw" sure=${phrase('Withdraw the link for {name}', { name: one.name })} onSure=${() => withdraw(one)} />
        </li>`,
        )}
      </ul>
    <//>
  </section>`;
}
