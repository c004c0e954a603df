/** A square that signs one more phone in as whoever shows it. Needs a connection. */
import { useEffect, useState } from 'preact/hooks';
import { sendForJson } from '../../field/shop.js';
import { html } from '../html.js';
import { person } from '../person.js';
import { Notice } from '../pieces/notice.js';
import { Screen } from '../pieces/screen.js';
import { Square } from '../pieces/square.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { moment } from '../words.js';

const LOOK_AGAIN_MS = 2000;

export function Pair() {
  const [shown, setShown] = useState(/** @type {any} */ (null));
  const [came, setCame] = useState('');
  const [trouble, setTrouble] = useState('');
  const over = shown && !came && shown.expires_ms <= Date.now();

  const show = async () => {
    setTrouble('');
    setCame('');
    setShown(null);
    try {
      setShown(await sendForJson('POST', '/api/pairings', { json: {} }));
    } catch (problem) {
      setTrouble(/** @type {Error} */ (problem).message);
    }
  };
  useEffect(() => void show(), []);
  useEffect(() => {
    if (!shown || came) return;
    const look = async () => {
      const state = await sendForJson('GET', `/api/pairings/${shown.id}`).catch(() => null);
      if (state?.device !== null && state?.device !== undefined) setCame(state.device || phrase('The phone'));
      else if (shown.expires_ms <= Date.now()) setShown({ ...shown });
    };
    const timer = setInterval(() => void look(), LOOK_AGAIN_MS);
    return () => clearInterval(timer);
  }, [shown, came]);

  return html`<${Screen} title="Pair a phone" back=${to('devices')}>
    ${
      trouble &&
      html`<${Notice} tone="warn" title="No code can be shown">
      <p>${trouble}</p>
      <button type="button" class="key" onClick=${() => void show()}>Try again</button>
    <//>`
    }
    ${!shown && !trouble && html`<p class="soft" aria-busy="true">Asking the shop</p>`}
    ${
      shown &&
      !came &&
      !over &&
      html`<div class="one-time stack close">
      <p>Scan this with the camera of the phone. It is then signed in as <strong>${person.value?.person.name}</strong>.</p>
      <${Square} text=${shown.link} label="Square that pairs a phone" />
      <p class="soft">Good once, until ${moment(shown.expires_ms)}. Show it to nobody who should not work under your name.</p>
      ${shown.trust_page && html`<${FirstTrust} page=${shown.trust_page} />`}
    </div>`
    }
    <div role="status">
      ${came && html`<${Notice} tone="well" title=${phrase('{came} is paired', { came })}><p>It stands in the list of devices now.</p><//>`}
      ${over && html`<p>The code has run out.</p>`}
    </div>
    ${
      (came || over) &&
      html`<div class="keys">
      <button type="button" class="key" onClick=${() => void show()}>Show a new code</button>
      <a class="key" href=${to('devices')}>Devices</a>
    </div>`
    }
  <//>`;
}

/** On a shop's own network a phone must first trust the shop's own authority. @param {{page: string}} props */
function FirstTrust({ page }) {
  return html`<details class="stack close">
    <summary class="key">The phone warns of an unsafe connection</summary>
    <p>Once, before it is paired, the phone has to trust this shop's own authority. Scan this and follow the steps:</p>
    <${Square} text=${page} label="Square with the page that explains how to trust this shop" />
    <p class="figures">${page}</p>
  </details>`;
}
