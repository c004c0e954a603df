/** Where the records are: what only this phone has, the last exchange with the shop, and what is in its way. */
import { syncNow } from '../../field/sync.js';
import { html } from '../html.js';
import { Icon } from '../pieces/icon.js';
import { Screen } from '../pieces/screen.js';
import { sync, syncWords } from '../pieces/sync-strip.js';
import { Warnings } from '../pieces/warnings.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { cameFrom } from '../way-back.js';
import { moment } from '../words.js';

export function Sync() {
  const state = sync.value;
  const here = state.unsyncedEntries + state.unsyncedPhotos > 0;
  const keys = html`<button
    type="button"
    class="key main wide tall"
    aria-busy=${state.busy}
    disabled=${state.busy}
    onClick=${() => void syncNow()}
  >${state.busy ? phrase('Sending') : phrase('Send now')}</button>`;
  return html`<${Screen} title="This device and the shop" back=${cameFrom(to())} keys=${keys}>
    <div class="stack">
      <p class="sync-big"><${Icon} name=${here ? 'phone' : 'shop'} />${syncWords(state)}</p>
      <p>${here ? phrase('Only what is in the shop survives a lost phone.') : phrase('Everything recorded here is in the shop too.')}</p>
      ${here && html`<p>It is sent by itself as soon as there is a connection.</p>`}
      <dl class="details">
        <div><dt>Last whole exchange</dt><dd>${state.lastSync ? moment(state.lastSync) : phrase('not yet')}</dd></div>
        <div>
          <dt>
            Connection
          </dt><dd>${state.online === null ? phrase('not tried yet') : state.online ? phrase('the shop answers') : phrase('none')}</dd>
        </div>
        ${state.error && html`<div><dt>In the way</dt><dd>${state.error.message}</dd></div>`}
      </dl>
      ${
        state.keptPhotos > 0 &&
        html`<a class="key" href=${to('stray-photos')}>Kept on this device only: ${phrase('{n} photo|{n} photos', { n: state.keptPhotos })}</a>`
      }
      ${
        state.setAside.length > 0 &&
        html`<a
        class="key"
        href=${to('set-aside')}
      >Set aside: ${state.setAside.length}</a>`
      }
      <${Warnings} />
    </div>
  <//>`;
}
