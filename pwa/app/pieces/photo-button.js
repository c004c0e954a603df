/** The key that opens the camera (or the files), takes the picture in and hands it on. */
import { useState } from 'preact/hooks';
import * as drafts from '../../field/drafts.js';
import { takeIn } from '../../field/photos.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';

/**
 * @typedef {import('../../field/photos.js').TakenIn} TakenIn
 *
 * @param {object} props
 * @param {string} props.caseId
 * @param {Record<string, any>} [props.about]  what the photo entry will say: cylinder, place, shows ...
 * @param {(taken: TakenIn, about: Record<string, any>) => void | Promise<void>} props.onTaken  records it, or holds it until there is something to hang it on
 * @param {string} [props.label]
 * @param {'camera' | 'files'} [props.from]
 * @param {string} [props.class]
 */
export function PhotoButton({ caseId, about = {}, onTaken, label = phrase('Photo'), from = 'camera', class: kind = '' }) {
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState('');
  // The system's camera can kill the page: what was wanted is on the disk before it opens.
  const before = () => void drafts.expectPhoto({ case: caseId, about, screen: location.hash }).catch(() => undefined);
  const after = () => void drafts.photoCame().catch(() => undefined);

  /** @param {Event} event */
  const onChange = async (event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    const file = input.files?.[0];
    input.value = '';
    if (!file) return after();
    setBusy(true);
    setProblem('');
    try {
      await onTaken(await takeIn(file), about);
    } catch (trouble) {
      setProblem(trouble instanceof Error ? trouble.message : String(trouble));
    }
    after();
    setBusy(false);
  };

  return html`<div class=${`photo-button ${kind}`}>
    <label class="key" aria-busy=${busy}>
      <input
        class="unseen"
        type="file"
        accept="image/*"
        capture=${from === 'camera' ? 'environment' : undefined}
        disabled=${busy}
        onClick=${before}
        onCancel=${after}
        onChange=${onChange}
      />
      <${Icon} name="camera" />${busy ? phrase('Keeping it') : label}
    </label>
    ${problem && html`<p class="problem" role="alert">${problem}</p>`}
  </div>`;
}
