/** Photos that do not reach the shop by themselves: what to do about each is for a person to say. */
import { useEffect, useState } from 'preact/hooks';
import { caseList, onChange } from '../../field/log.js';
import { discard, keepHere, nameless, tryAgain, untaken } from '../../field/stray-photos.js';
import { syncNow } from '../../field/sync.js';
import { html } from '../html.js';
import { savePhoto, saveVoices } from '../photo-entries.js';
import { Screen } from '../pieces/screen.js';
import { Picture } from '../pieces/thumbs.js';
import { VoicePlayer } from '../pieces/voice.js';
import { to } from '../route.js';
import { say } from '../said.js';
import { phrase } from '../tongue.js';
import { moment } from '../words.js';

/** @typedef {import('../../field/stray-photos.js').Untaken} Untaken */
/** @typedef {import('../../field/stray-photos.js').Nameless} Nameless */
/** @typedef {import('../../field/log.js').Summary} Summary */

export function StrayPhotos() {
  const [found, look] = useStrays();
  if (!found) return html`<${Screen} title="Photos left behind" back=${to('sync')}><p role="status">Looking</p><//>`;
  const { refused, kept, unnamed, cases } = found;
  return html`<${Screen} title="Photos left behind" back=${to('sync')}>
    <div class="stack">
      ${!refused.length && !kept.length && !unnamed.length && html`<p class="soft">No photo is left behind.</p>`}
      ${
        refused.length > 0 &&
        html`<h2>Not taken by the shop</h2>
        <ul class="stack">${refused.map((photo) => html`<${Refused} key=${photo.sha256} ...${photo} />`)}</ul>`
      }
      ${
        unnamed.length > 0 &&
        html`<h2>Without an entry</h2>
        <p>The page was closed before these were recorded. They go to the shop once a case has them.</p>
        <ul class="stack">
          ${unnamed.map((photo) => html`<${Unnamed} key=${photo.sha256} photo=${photo} cases=${cases} done=${look} />`)}
        </ul>`
      }
      ${
        kept.length > 0 &&
        html`<h2>Kept on this device only</h2>
        <p>They are in every copy that you keep as a file, and are lost with this device otherwise.</p>
        <ul class="stack">${kept.map((photo) => html`<${Refused} key=${photo.sha256} ...${photo} />`)}</ul>`
      }
    </div>
  <//>`;
}

/** What is left behind, and looking anew. */
function useStrays() {
  const [found, setFound] = useState(
    /** @type {null | {refused: Untaken[], kept: Untaken[], unnamed: Nameless[], cases: Summary[]}} */ (null),
  );
  const look = async () => {
    const [all, unnamed, cases] = await Promise.all([untaken(), nameless(), caseList()]);
    setFound({ refused: all.filter(({ kept }) => !kept), kept: all.filter(({ kept }) => kept), unnamed, cases });
  };
  useEffect(() => {
    void look();
    return onChange(() => void look());
  }, []);
  return /** @type {[typeof found, () => Promise<void>]} */ ([found, look]);
}

/** @param {{sha256: string, mime: string, alt: string}} props */
function Shown({ sha256, mime, alt }) {
  if (mime.startsWith('audio/')) return html`<${VoicePlayer} sha256=${sha256} />`;
  return html`<div class="thumbs"><${Picture} sha256=${sha256} alt=${alt} /></div>`;
}

/** @param {Untaken} photo */
function Refused({ sha256, mime, trouble, kept, case: caseId }) {
  const sendAgain = async () => {
    await tryAgain(sha256);
    void syncNow();
  };
  return html`<li class="aside-row">
    <${Shown} sha256=${sha256} mime=${mime} alt=${phrase('The photo')} />
    <p class="problem">${trouble}</p>
    <div class="keys">
      ${caseId && !mime.startsWith('audio/') && html`<a class="key" href=${to('case', caseId, 'picture', sha256)}>Look at it</a>`}
      <button type="button" class="key" onClick=${() => void sendAgain()}>Send it again</button>
      ${
        !kept &&
        html`<button type="button" class="key" onClick=${() => void keepHere(sha256)}>
          Keep it on this device only
        </button>`
      }
    </div>
  </li>`;
}

/** @param {{photo: Nameless, cases: Summary[], done: () => Promise<void>}} props */
function Unnamed({ photo, cases, done }) {
  const [caseId, choose] = useState('');
  const [sure, setSure] = useState(false);
  const { sha256, mime, bytes, taken } = photo;
  const isVoice = mime.startsWith('audio/');
  const saved = () => (isVoice ? saveVoices(caseId, [photo]) : savePhoto(caseId, { sha256, bytes }, { shows: 'other' }));
  const add = () => void saved().then(done);
  const remove = async () => {
    say((await discard(sha256)) ? phrase('The photo is deleted') : phrase('An entry has this photo now: it stays'));
    await done();
  };
  return html`<li class="aside-row">
    <${Shown} sha256=${sha256} mime=${mime} alt=${phrase('Taken {taken}', { taken: moment(taken) })} />
    <p class="soft">Taken ${moment(taken)}</p>
    <div class="field">
      <label for=${sha256}>Case it belongs to</label>
      <select id=${sha256} value=${caseId} onChange=${(/** @type {any} */ event) => choose(event.target.value)}>
        <option value="">Choose the case</option>
        ${cases.map((one) => html`<option key=${one.case} value=${one.case}>${one.title} ${one.plate}</option>`)}
      </select>
    </div>
    <div class="keys">
      <button type="button" class="key" disabled=${!caseId} onClick=${add}>Add it to the case</button>
      ${
        sure
          ? html`<button type="button" class="key" onClick=${() => void remove()}>Delete it for good</button>`
          : html`<button type="button" class="key quiet" onClick=${() => setSure(true)}>Delete it</button>`
      }
    </div>
  </li>`;
}
