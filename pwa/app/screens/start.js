/** The first screen: the cases, what wants attention, and the way to a new case. */
import { caseListing } from '../case-list.js';
import { html } from '../html.js';
import { person } from '../person.js';
import { DeskKeys } from '../pieces/desk-keys.js';
import { HomeScreen } from '../pieces/home-screen.js';
import { Icon } from '../pieces/icon.js';
import { Later } from '../pieces/later.js';
import { Masthead } from '../pieces/masthead.js';
import { OfflineNotice } from '../pieces/offline-notice.js';
import { Screen } from '../pieces/screen.js';
import { Warnings } from '../pieces/warnings.js';
import { to } from '../route.js';
import { CaseList } from './case-list.js';

const sharedWaiting = async () => (await import('../pieces/shared-waiting.js')).SharedWaiting;

/** @param {{beside: boolean}} props  the list is already beside */
export function Start({ beside }) {
  const aside = html`<a class="key quiet" href=${to('tags')} aria-label="Find a tag"><${Icon} name="tag" /></a>
    <a class="key quiet" href=${to('settings')} aria-label="Settings"><${Icon} name="gear" /></a>`;
  const keys = !beside && html`<a class="key main wide tall" href=${to('new')}><${Icon} name="plus" />New case</a>`;
  return html`<${Screen} title="Cases" aside=${aside} keys=${keys} class="start">
    <${Masthead} shop=${person.value?.shop.name} />
    <${HomeScreen} />
    <${OfflineNotice} />
    <${Warnings} />
    <${Later} load=${sharedWaiting} />
    ${!beside && html`<${CaseList} />`}
    <${DeskKeys} />
    ${beside && Boolean(caseListing.value.cases?.length) && html`<p class="soft">Choose a case on the left, or open a new one.</p>`}
  <//>`;
}
