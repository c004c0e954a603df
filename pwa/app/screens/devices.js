/** Devices that may exchange with the shop; a lost one is shut out here. Needs a connection. */
import { change } from '../asking.js';
import { html } from '../html.js';
import { person } from '../person.js';
import { FromShop, useFromShop } from '../pieces/from-shop.js';
import { Icon } from '../pieces/icon.js';
import { Screen } from '../pieces/screen.js';
import { Sure } from '../pieces/sure.js';
import { isOneOf } from '../roles.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { moment } from '../words.js';

export function Devices() {
  const asked = useFromShop('/api/devices');
  return html`<${Screen} title="Devices" back=${to('settings')}>
    <div class="keys">
      <a class="key main" href=${to('pair')}><${Icon} name="phone" />Pair a phone</a>
      ${isOneOf('owner', 'desk') && html`<a class="key" href=${to('handed-in')}>Handed in</a>`}
    </div>
    <p class="soft">A lost phone is shut out at once: it receives nothing more, and hands in what only it has, to be looked at.</p>
    <${FromShop} asked=${asked} what="The devices">
      <ul class="ruled">
        ${(asked.found?.devices ?? []).map((/** @type {any} */ device) => html`<li key=${device.id}><${Device} device=${device} onGone=${asked.read} /></li>`)}
      </ul>
    <//>
  <//>`;
}

/** @param {{device: any, onGone: () => Promise<void>}} props */
function Device({ device, onGone }) {
  const mine = device.id === person.value?.device;
  const known = [
    device.person,
    device.last_seen_ms && phrase('last seen {time}', { time: moment(device.last_seen_ms) }),
    device.revoked ? phrase('shut out') : !device.signed_in && phrase('signed out'),
  ];
  const only = device.unsynced && device.unsynced.entries + device.unsynced.photos > 0;
  const shutOut = async () => {
    await change('DELETE', `/api/devices/${device.id}`, undefined, phrase('{name} is shut out', { name: device.name }));
    await onGone();
  };
  return html`<div class="device-row">
    <p><strong>${device.name || phrase('A device without a name')}</strong> ${mine && phrase('(this one)')}</p>
    <p class="soft">${known.filter(Boolean).join(', ')}</p>
    ${
      only &&
      html`<p>
      Only on it when last seen: ${phrase('{n} entry|{n} entries', { n: device.unsynced.entries })}, ${phrase('{n} photo|{n} photos', { n: device.unsynced.photos })}.
    </p>`
    }
    ${!device.revoked && html`<${Sure} words="Shut out" sure=${phrase('Shut out {name}', { name: device.name })} onSure=${shutOut} />`}
  </div>`;
}
