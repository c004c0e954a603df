/**
 * Voice notes that wait for the entry they were spoken for, and the key that records one more.
 *
 * @typedef {import('../../field/voice.js').KeptVoice} KeptVoice
 */
import { useRef } from 'preact/hooks';
import { discard } from '../../field/stray-photos.js';
import { html } from '../html.js';
import { Sure } from './sure.js';
import { VoiceKey, VoicePlayer } from './voice.js';

/** @param {{caseId: string, voices: KeptVoice[], onChange: (voices: KeptVoice[]) => void}} props */
export function HeldVoices({ caseId, voices, onChange }) {
  const latest = useRef(voices); // whoever speaks may take another note out meanwhile
  latest.current = voices;
  /** @param {KeptVoice} one */
  const takeOut = (one) => {
    onChange(latest.current.filter((other) => other !== one));
    void discard(one.sha256).catch(() => undefined); // then it is offered among those left behind
  };
  return html`<div class="stack close">
    ${voices.map(
      (one) => html`<div class="keys" key=${one.sha256}>
      <${VoicePlayer} sha256=${one.sha256} seconds=${one.seconds} />
      <${Sure} words="Take it out" sure="Take it out for good" onSure=${() => takeOut(one)} />
    </div>`,
    )}
    <${VoiceKey} caseId=${caseId} onSpoken=${(/** @type {KeptVoice} */ one) => onChange([...latest.current, one])} />
  </div>`;
}
