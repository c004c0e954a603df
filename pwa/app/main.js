/** The page starts: what the forms follow first, then the first screen; everything slower after it. */
import { render } from 'preact';
import { startCore } from '../field/core.js';
import { onceKept, watchRelease } from '../field/release.js';
import { askWhoAgain } from '../field/session.js';
import { countAgain } from '../field/sync.js';
import { startSync } from '../field/sync-triggers.js';
import { App } from './app.js';
import { followCaseList } from './case-list.js';
import { loadDeclaration } from './declared.js';
import { html } from './html.js';
import { followIdle } from './idle.js';
import { followInstall } from './install.js';
import { followOpenCase, showCase } from './open-case.js';
import { followPerson, person, readPerson } from './person.js';
import { route } from './route.js';
import { caseScreens, readScreensWhenIdle } from './screens.js';
import { followTerms } from './shop-terms.js';
import { CannotStart } from './screens/cannot-start.js';
import { day } from './words.js';

const DRAWN_MS = 50; // the first screen is drawn before anything slower begins

const page = /** @type {HTMLElement} */ (document.getElementById('page'));
page.replaceChildren();
followInstall();

setTimeout(() => day(Date.now())); // the first day written takes longest: not within the first drawing
void begin();

/** Who works here, and what is charged. A case is read and thought over beside everything else, not after it. */
async function knowWhoAndWhat() {
  const { name, parts } = route.value;
  if (name === 'case') void caseScreens['']().catch(() => undefined);
  await readPerson();
  followTerms();
  if (name === 'case' && person.value) showCase(parts[0]);
}

async function begin() {
  try {
    await Promise.all([loadDeclaration(), knowWhoAndWhat(), followIdle(), followCaseList(), countAgain()]);
    followPerson();
    followOpenCase();
    render(html`<${App} />`, page);
    await new Promise((resolve) => setTimeout(resolve, DRAWN_MS));
    watchRelease();
    startSync();
    void askWhoAgain();
    // On a first visit these come from what the worker has just put on the phone: nothing travels twice.
    await onceKept();
    // One after the other: a phone has few cores, and a finger may be on its way.
    await startCore();
    await readScreensWhenIdle();
  } catch (trouble) {
    render(html`<${CannotStart} trouble=${trouble} />`, page);
  }
}
