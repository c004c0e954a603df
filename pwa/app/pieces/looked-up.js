/** Warnings that the phone's store is asked for: a photo that did not arrive, photos left behind, little room. */
import { useEffect, useState } from 'preact/hooks';
import * as drafts from '../../field/drafts.js';
import { room } from '../../field/storage.js';
import { nameless } from '../../field/stray-photos.js';
import { freeTime } from '../free-time.js';
import { html } from '../html.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { size } from '../words.js';
import { Notice } from './notice.js';
import { sync } from './sync-strip.js';

const LATEST = 10e3; // ms after which photos that no entry names are looked for; they are a day old at least

export function LookedUp() {
  return html`<${LostPhoto} /><${LeftBehind} untaken=${sync.value.untakenPhotos} /><${Room} />`;
}

/** A photo that was wanted when the page was killed behind the camera. */
function LostPhoto() {
  const [expected, setExpected] = useState(/** @type {drafts.ExpectedPhoto | undefined} */ (undefined));
  useEffect(() => void drafts.expectedPhoto().then(setExpected, () => undefined), []);
  if (!expected) return null;
  const forget = () => {
    void drafts.photoCame();
    setExpected(undefined);
  };
  return html`<${Notice} tone="warn" icon="camera" title="A photo did not arrive">
    <p>The phone closed this page behind its camera. Take the photo again.</p>
    <div class="keys">
      <a class="key" href=${expected.screen} onClick=${forget}>Back to that place</a>
      <button type="button" class="key quiet" onClick=${forget}>Do without</button>
    </div>
  <//>`;
}

/** Photos that do not reach the shop by themselves. @param {{untaken: number}} props */
function LeftBehind({ untaken }) {
  const [unnamed, setUnnamed] = useState(0);
  useEffect(() => void freeTime(LATEST).then(nameless).then((found) => setUnnamed(found.length), () => undefined), []);
  if (!untaken && !unnamed) return null;
  return html`<${Notice} tone="warn" icon="camera" title=${phrase('{n} photo does not reach the shop|{n} photos do not reach the shop', { n: untaken + unnamed })}>
    <p>${untaken ? phrase('The shop does not take it, or it belongs to no entry.') : phrase('The page was closed before it was recorded.')} Say what is to become of it.</p>
    <a class="key" href=${to('stray-photos')}>Look at them</a>
  <//>`;
}

function Room() {
  const [found, setFound] = useState(/** @type {import('../../field/storage.js').Room | null} */ (null));
  useEffect(() => void room().then(setFound, () => undefined), []);
  if (!found?.low) return null;
  return html`<${Notice} tone="warn" icon="phone" title="This device is nearly full">
    <p>
      ${found.free !== null && phrase('{free} are left.', { free: size(found.free) })}${' '}Findings are kept first; photos may be refused.
    </p>
    <p>Free some room, or let the phone send its photos to the shop.</p>
  <//>`;
}
