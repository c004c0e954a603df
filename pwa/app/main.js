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
import { followOpenCase } from './open-case.js';
import { followPerson, readPerson } from './person.js';
import { route } from './route.js';
import { caseScreens, readScreensWhenIdle } from './screens.js';
import { followTerms } from './shop-terms.js';
import { CannotStart } from './screens/cannot-start.js';

const DRAWN_MS = 50; // the first screen is drawn before anything slower begins

const page = /** @type {HTMLElement} */ (document.getElementById('page'));
page.replaceChildren();
followInstall();

if (route.value.name === 'case') {
  // What a case needs is fetched beside everything else, not after it.
  startCore();
  void caseScreens['']().catch(() => undefined);
}
try {
  await Promise.all([loadDeclaration(), readPerson(), followIdle(), followCaseList(), countAgain()]);
  followPerson();
  followOpenCase();
  followTerms();
  render(html`<${App} />`, page);
  await new Promise((resolve) => setTimeout(resolve, DRAWN_MS));
  watchRelease();
  startSync();
  void askWhoAgain();
  // On a first visit these come from what the worker has just put on the phone: nothing travels twice.
  await onceKept();
  startCore();
  await readScreensWhenIdle();
} catch (trouble) {
  render(html`<${CannotStart} message=${trouble instanceof Error ? trouble.message : String(trouble)} />`, page);
}
