/** What wants attention before work begins: each with what to do about it. */
import { databaseTrouble } from '../../field/database.js';
import { saveAgain, unsaved } from '../../field/log.js';
import { releaseState, takeOver } from '../../field/release.js';
import { html } from '../html.js';
import { to } from '../route.js';
import { sayTrouble } from '../said.js';
import { phrase } from '../tongue.js';
import { watched } from '../watched.js';
import { Later } from './later.js';
import { Notice } from './notice.js';
import { sync } from './sync-strip.js';

const LARGEST_SKEW = 5 * 60e3; // ms; the clocks of phone and shop
const LONG = 3 * 24 * 3600e3; // ms that work may be on the phone alone before it is said

const lookedUp = async () => (await import('./looked-up.js')).LookedUp;

const notSaved = watched(unsaved);
const release = watched(releaseState);
const database = watched(databaseTrouble);

export function Warnings() {
  const state = sync.value;
  const held = notSaved.value.entries;
  return html`<div class="stack">
    ${
      held.length > 0 &&
      html`<${Notice} tone="trouble" title=${phrase('{n} entry is not safe yet|{n} entries are not safe yet', { n: held.length })}>
      <p>The phone's store does not take them: ${notSaved.value.message} They are in memory; keep this page open.</p>
      <button type="button" class="key" onClick=${() => void saveAgain()}>Try to save again</button>
    <//>`
    }
    ${
      database.value.message &&
      html`<${Notice} tone="trouble" title="The phone's store cannot be opened"><p>${database.value.message}</p><//>`
    }
    ${
      state.error?.code === 'sign_in' &&
      html`<${Notice} tone="warn" title="The shop asks you to sign in again">
      <p>Everything you record stays on this device and is sent afterwards.</p>
      <a class="key" href=${to('sign-in')}>Sign in again</a>
    <//>`
    }
    ${
      state.error?.code === 'shut_out' &&
      html`<${Notice} tone="warn" title="This device was shut out">
      <p>What only it had was handed in, and someone at the shop looks at it. What you record now stays on this device.</p>
      <a class="key" href=${to('sign-in')}>Sign in again</a>
    <//>`
    }
    ${
      state.setAside.length > 0 &&
      html`<${Notice} tone="warn" title=${phrase('{n} entry set aside|{n} entries set aside', { n: state.setAside.length })}>
      <p>The shop keeps them apart until someone has looked.</p>
      <a class="key" href=${to('set-aside')}>See why</a>
    <//>`
    }
    ${
      Math.abs(state.clockSkewMs ?? 0) > LARGEST_SKEW &&
      html`<${Notice} tone="warn" icon="clock" title="This device's clock is off">
      <p>
        ${skewWords(state.clockSkewMs ?? 0)} The order of entries is kept all the same; set the clock when you can.
      </p>
    <//>`
    }
    ${
      state.since !== null &&
      Date.now() - state.since > LONG &&
      html`<${Notice} tone="warn" icon="phone" title="Work of more than three days is only on this device">
      <p>Find a connection, or keep a copy as a file.</p>
      <a class="key" href=${to('settings')}>Keep a copy</a>
    <//>`
    }
    ${
      state.epochChanged &&
      html`<${Notice} title="The shop was restored from a backup">
        <p>Everything on this device is offered to it again.</p>
      <//>`
    }
    <${Later} load=${lookedUp} />
    ${
      release.value.waiting &&
      html`<${Notice} icon="turn" title="A newer version is on this device">
      <p>It takes over when nothing is half done.</p>
      <button type="button" class="key" onClick=${() => void letTakeOver()}>Take it now</button>
    <//>`
    }
  </div>`;
}

async function letTakeOver() {
  if (!(await takeOver()))
    sayTrouble(phrase('Something is half done here or in another tab. Finish it, then take the newer version.'));
}

/** @param {number} ms  the shop's clock minus this phone's */
function skewWords(ms) {
  const minutes = Math.round(Math.abs(ms) / 60e3);
  const span = minutes < 120 ? phrase('{n} minute|{n} minutes', { n: minutes }) : phrase('{n} hour|{n} hours', { n: Math.round(minutes / 60) });
  return ms > 0 ? phrase('It is {span} behind the shop\'s.', { span }) : phrase('It is {span} ahead of the shop\'s.', { span });
}
