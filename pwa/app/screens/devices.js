/** Devices that may exchange with the shop; a lost one is shut out here. Needs a connection. */
import { useEffect, useState } from 'preact/hooks';
import { sendForJson, send } from '../../field/shop.js';
import { html } from '../html.js';
import { person } from '../person.js';
import { Notice } from '../pieces/notice.js';
import { Screen } from '../pieces/screen.js';
import { to } from '../route.js';
import { say, sayTrouble } from '../said.js';
import { count, moment } from '../words.js';

export function Devices() {
  const [devices, setDevices] = useState(/** @type {any[] | null} */ (null));
  const [trouble, setTrouble] = useState('');
  const read = async () => {
    setTrouble('');
    try {
      setDevices((await sendForJson('GET', '/api/devices')).devices);
    } catch (problem) {
      setTrouble(/** @type {Error} */ (problem).message);
    }
  };
  useEffect(() => void read(), []);
  return html`<${Screen} title="Devices" back=${to('settings')}>
    ${
      trouble &&
      html`<${Notice} tone="warn" title="The devices could not be read">
      <p>${trouble}</p>
      <button type="button" class="key" onClick=${() => void read()}>Try again</button>
    <//>`
    }
    ${!devices && !trouble && html`<p class="soft" aria-busy="true">Asking the shop</p>`}
    <ul class="ruled">
      ${(devices ?? []).map((device) => html`<li key=${device.id}><${Device} device=${device} onGone=${read} /></li>`)}
    </ul>
  <//>`;
}

/** @param {{device: any, onGone: () => Promise<void>}} props */
function Device({ device, onGone }) {
  const [asked, setAsked] = useState(false);
  const mine = device.id === person.value?.device;
  const known = [
    device.person,
    device.last_seen_ms && `last seen ${moment(device.last_seen_ms)}`,
    device.revoked && 'shut out',
  ];
  const only = device.unsynced && device.unsynced.entries + device.unsynced.photos > 0;
  const shutOut = async () => {
    try {
      await send('DELETE', `/api/devices/${device.id}`);
      say(`${device.name} is shut out`);
      await onGone();
    } catch (problem) {
      sayTrouble(/** @type {Error} */ (problem).message);
    }
  };
  return html`<div class="device-row">
    <p><strong>${device.name}</strong>${mine ? ' (this one)' : ''}</p>
    <p class="soft">${known.filter(Boolean).join(', ')}</p>
    ${
      only &&
      html`<p>
      Only on it when last seen: ${count(device.unsynced.entries, 'entry', 'entries')}, ${count(device.unsynced.photos, 'photo')}.
    </p>`
    }
    ${
      !device.revoked &&
      !asked &&
      html`<button
      type="button"
      class="key"
      onClick=${() => setAsked(true)}
    >Shut out</button>`
    }
    ${
      asked &&
      !device.revoked &&
      html`<div class="keys">
      <button type="button" class="key main" onClick=${() => void shutOut()}>Shut out ${device.name}</button>
      <button type="button" class="key" onClick=${() => setAsked(false)}>Leave it</button>
    </div>`
    }
  </div>`;
}
