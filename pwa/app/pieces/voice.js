/** Voice notes: the key that records one, and the one that plays it. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { inHand } from '../../field/release.js';
import { brokenOff, dropBrokenOff, keepVoice, LONGEST_S, listen } from '../../field/voice.js';
import { useAwake } from '../awake.js';
import { html } from '../html.js';
import { bringInSight } from '../in-sight.js';
import { saveVoices } from '../photo-entries.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';
import { Notice } from './notice.js';
import { Sure } from './sure.js';
import { useImage } from './thumbs.js';

/** @typedef {import('../../field/voice.js').Spoken} Spoken */
/** @typedef {import('../../field/voice.js').Voice} Voice */

/**
 * A screen that is left while somebody speaks keeps what was said until then, as an entry of its own.
 * @param {{caseId: string, onKept?: () => void, onSpoken?: (kept: import('../../field/voice.js').KeptVoice) => void}} props
 *   `onSpoken`: holds it until there is an entry to hang it on; else it is recorded at once, and then `onKept`
 */
export function VoiceKey({ caseId, onKept = () => {}, onSpoken }) {
  const [voice, setVoice] = useState(/** @type {Voice | null} */ (null));
  const [unkept, setUnkept] = useState(/** @type {Spoken | null} */ (null));
  const [trouble, setTrouble] = useState('');
  const [busy, setBusy] = useState(false);
  const screen = useRef({ left: false, stop: () => {} });
  useEffect(() => {
    void brokenOff(caseId).then((spoken) => {
      if (!spoken || screen.current.left) return;
      setUnkept(spoken);
      setTrouble(phrase('The page went while it was recorded. What was heard until then is here.'));
    });
    return () => {
      screen.current.left = true;
      screen.current.stop();
    };
  }, []);

  /** @param {() => Promise<void>} work */
  const attempt = async (work) => {
    setBusy(true);
    setTrouble('');
    await work().catch((problem) => setTrouble(problem.message));
    setBusy(false);
  };
  const record = async () => {
    const begun = await listen(caseId);
    screen.current.stop = begun.stop;
    if (screen.current.left) begun.stop();
    setVoice(begun);
    const spoken = await begun.spoken.finally(() => setVoice(null));
    setUnkept(spoken);
    await keep(spoken);
  };
  /** @param {Spoken} spoken */
  const keep = async (spoken) => {
    const kept = await keepVoice(spoken);
    const holds = onSpoken && !screen.current.left;
    if (holds) onSpoken(kept);
    else if (!(await saveVoices(caseId, [kept]))) return;
    await dropBrokenOff(caseId);
    setUnkept(null);
    if (!holds && !screen.current.left) onKept();
  };

  if (voice) return html`<${Listening} onStop=${voice.stop} />`;
  const throwAway = async () => {
    await dropBrokenOff(caseId);
    setUnkept(null);
    setTrouble('');
  };
  if (unkept && trouble)
    return html`<${NotKept} spoken=${unkept} trouble=${trouble} onAgain=${() => attempt(() => keep(unkept))} onThrowAway=${throwAway} />`;
  return html`<div class="stack close">
    <button type="button" class="key wide tall" aria-busy=${busy} disabled=${busy} onClick=${() => void attempt(record)}>
      <${Icon} name="voice" />Record a voice note
    </button>
    ${trouble && html`<p class="problem" role="alert">${trouble}</p>`}
  </div>`;
}

/** @param {{onStop: () => void}} props */
function Listening({ onStop }) {
  const [seconds, setSeconds] = useState(0);
  useAwake();
  const here = useRef(/** @type {HTMLDivElement | null} */ (null));
  useEffect(() => bringInSight(here.current), []); // the keys at the bottom must not cover how to stop it
  useEffect(() => {
    const began = performance.now();
    const putDown = inHand();
    const ticking = setInterval(() => setSeconds(Math.floor((performance.now() - began) / 1000)), 250);
    return () => {
      clearInterval(ticking);
      putDown();
    };
  }, []);
  return html`<div class="stack close" ref=${here}>
    <button type="button" class="key main wide tall" onClick=${onStop}><${Icon} name="tick" />Stop and keep it</button>
    <p class="figures" role="timer">${phrase('Recording, {now} of {longest}', { now: clock(seconds), longest: clock(LONGEST_S) })}</p>
  </div>`;
}

/** @param {{spoken: Spoken, trouble: string, onAgain: () => Promise<void>, onThrowAway: () => Promise<void>}} props */
function NotKept({ spoken, trouble, onAgain, onThrowAway }) {
  const [address, setAddress] = useState('');
  useEffect(() => {
    const made = URL.createObjectURL(spoken.blob);
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [spoken]);
  return html`<div role="alert">
    <${Notice} tone="trouble" title="The voice note is not kept yet">
      <p>${trouble}</p>
      <div class="keys">
        <button type="button" class="key main" onClick=${() => void onAgain()}>Keep it now</button>
        <a class="key" href=${address} download=${`voice.${spoken.blob.type.split('/')[1]}`}>Save it as a file</a>
        <${Sure} words="Throw it away" sure="Throw it away for good" onSure=${onThrowAway} />
      </div>
    <//>
  </div>`;
}

/** @param {{sha256: string, seconds?: number}} props */
export function VoicePlayer({ sha256, seconds }) {
  const [attempt, setAttempt] = useState(0);
  const fetchIt = () => setAttempt(attempt + 1);
  if (attempt) return html`<${Playing} key=${attempt} sha256=${sha256} onAgain=${fetchIt} />`;
  return html`<button type="button" class="key" onClick=${fetchIt}>
    <${Icon} name="play" />Listen${seconds === undefined ? '' : ` (${clock(Math.round(seconds))})`}
  </button>`;
}

/** @param {{sha256: string, onAgain: () => void}} props */
function Playing({ sha256, onAgain }) {
  const address = useImage(sha256, true);
  if (address === undefined) return html`<p class="soft" aria-busy="true">The voice note is being fetched</p>`;
  if (address === null)
    return html`<p class="soft">The voice note is in the shop and needs a connection.</p>
      <button type="button" class="key" onClick=${onAgain}>Try again</button>`;
  return html`<audio class="voice" controls autoplay src=${address} aria-label="Voice note"></audio>`;
}

/** Minutes and seconds. @param {number} seconds */
function clock(seconds) {
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`;
}
