/** The application belongs on the home screen: there it opens by itself, and the browser is asked to keep the records. */
import { html } from '../html.js';
import { byMenu, install, offer } from '../install.js';
import { changeSettings, settings } from '../settings.js';
import { Notice } from './notice.js';

export function HomeScreen() {
  // One notice at a time, so that the cases stay in sight.
  const { readySeen, homeSeen } = settings.value;
  if (!readySeen || homeSeen || !(offer.value || byMenu())) return null;
  return html`<${Notice} icon="phone" title="Put it on the home screen">
    <p>There it opens without the browser around it, and the browser is asked to keep the records.</p>
    ${!offer.value && html`<p>Open the share menu and choose the home screen. Then sign in there: it keeps records of its own.</p>`}
    <div class="keys">
      ${offer.value && html`<button type="button" class="key main" onClick=${() => void install()}>Put it there</button>`}
      <button type="button" class="key" onClick=${() => changeSettings({ homeSeen: true })}>Not here</button>
    </div>
  <//>`;
}
