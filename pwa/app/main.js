/** The page starts: the first screen with what it needs, everything else after it. */
import { render } from 'preact';
import { startCore } from '../field/core.js';
import { onceKept, watchRelease } from '../field/release.js';
import { askWhoAgain, onSession } from '../field/session.js';
import { countAgain } from '../field/sync-state.js';
import { App } from './app.js';
import { readyForCases, standAt } from './at-case.js';
import { followCaseList } from './case-list.js';
import { html } from './html.js';
import { followIdle } from './idle.js';
import { followInstall } from './install.js';
import { followPerson, person, readPerson } from './person.js';
import { route } from './route.js';
import { caseScreens, readScreen, readScreensWhenIdle } from './screens.js';
import { CannotStart } from './screens/cannot-start.js';
import { bringDays } from './words.js';

const DRAWN_MS = 50; // the first screen is drawn before anything slower begins

const page = /** @type {HTMLElement} */ (document.getElementById('page'));
page.replaceChildren();
followInstall();

void begin();

/** Who works here. A case is read and thought over beside everything else, not after it. */
async function knowWho() {
  const { name, parts } = route.value;
  if (name === 'case') void Promise.all([readyForCases(), readScreen(caseScreens[''])]).catch(() => undefined);
  await readPerson();
  if (name === 'case' && person.value) void standAt(parts[0]);
}

async function exchangeFromNowOn() {
  try {
    const { startSync } = await import('../field/sync-triggers.js');
    startSync();
  } catch {
    // A first visit lost its connection at once. Signing in needs one, and begins anew.
    onSession(() => location.reload());
  }
}

async function begin() {
  try {
    await Promise.all([knowWho(), followIdle(), followCaseList(), countAgain()]);
    followPerson();
    render(html`<${App} />`, page);
    await new Promise((resolve) => setTimeout(resolve, DRAWN_MS));
    bringDays();
    watchRelease();
    await exchangeFromNowOn();
    void askWhoAgain();
    // On a first visit these come from what the worker has just put on the phone: nothing travels twice.
    await onceKept();
    // One after the other: a phone has few cores, and a finger may be on its way.
    await startCore();
    await readyForCases().catch(() => undefined); // a case tries again
    await readScreensWhenIdle();
  } catch (trouble) {
    render(html`<${CannotStart} trouble=${trouble} />`, page);
  }
}
