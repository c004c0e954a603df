/** That this phone opens without a connection, or how far it is. */
import { useEffect } from 'preact/hooks';
import { releaseState } from '../../field/release.js';
import { html } from '../html.js';
import { changeSettings, settings } from '../settings.js';
import { watched } from '../watched.js';
import { Notice } from './notice.js';

const release = watched(releaseState);

export function OfflineNotice() {
  const { offline, error } = release.value;
  if (error)
    return html`<${Notice}
      tone="warn"
      title="Not yet on this device"
    ><p>${error}</p><p>Stay in reach of a connection until this is gone.</p><//>`;
  if (offline === 'installing')
    return html`<${Notice} icon="phone" title="Being put on this device"><p>Stay connected a moment longer.</p><//>`;
  return offline === 'ready' && !settings.value.readySeen && html`<${Ready} />`;
}

/** Said once: it goes with the screen it stood on. */
function Ready() {
  useEffect(() => () => changeSettings({ readySeen: true }), []);
  return html`<${Notice} tone="well" title="Ready to work offline">
    <p>This device opens and records without a connection from now on.</p>
    <button type="button" class="key quiet" onClick=${() => changeSettings({ readySeen: true })}>Good</button>
  <//>`;
}
