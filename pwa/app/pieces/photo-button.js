/**
 * The key that takes a photo: by the camera inside the page where there is one, else by the phone's own camera or from the
 * files. The picture is taken in, and handed on; where it looks blurred or too dark, it is asked about first.
 */
import { useEffect, useState } from 'preact/hooks';
import { seemsToHaveCamera } from '../../field/camera.js';
import * as drafts from '../../field/drafts.js';
import { takeIn } from '../../field/photos.js';
import { discard } from '../../field/stray-photos.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { CameraView } from './camera-view.js';
import { DoubtfulPhoto } from './doubtful-photo.js';
import { Icon } from './icon.js';
import { useWayBack } from './sheet.js';

/**
 * @typedef {import('../../field/photos.js').TakenIn} TakenIn
 * @typedef {Record<string, any>} About
 */

/** Why the camera inside the page was not to be had; then the phone's own is opened at once, until the page is loaded anew. */
let refused = '';

/**
 * @param {object} props
 * @param {string} props.caseId
 * @param {About} [props.about]  what the photo entry will say: cylinder, place, shows ...
 * @param {(taken: TakenIn, about: About) => void | Promise<void>} props.onTaken  records it, or holds it until there is something to hang it on
 * @param {string} [props.label]
 * @param {'camera' | 'files'} [props.from]
 * @param {string} [props.class]
 * @param {string} [props.words]  what is photographed and where
 * @param {boolean} [props.opened]  the camera stands open from the start
 * @param {(open: boolean) => void} [props.onOpened]  the user opened the camera, or closed it without a photo
 */
export function PhotoButton({
  caseId,
  about = {},
  onTaken,
  label = phrase('Photo'),
  from = 'camera',
  class: kind = '',
  words = label,
  opened = false,
  onOpened = () => {},
}) {
  const [inPage, forget] = useInPageCamera(from);
  const [open, setOpen] = useState(opened);
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState('');
  const [doubtful, setDoubtful] = useState(/** @type {{taken: TakenIn, about: About} | null} */ (null));

  /** @param {TakenIn} taken @param {About} of */
  const handOn = async (taken, of) => {
    setDoubtful(null);
    setOpen(false);
    await onTaken(taken, of);
  };
  /** @param {Blob} file @param {About} of */
  const take = async (file, of) => {
    setBusy(true);
    setProblem('');
    try {
      const taken = await takeIn(file);
      if (taken.doubt) setDoubtful({ taken, about: of });
      else await handOn(taken, of);
    } catch (trouble) {
      setProblem(trouble instanceof Error ? trouble.message : String(trouble));
    }
    setBusy(false);
  };
  const again = () => {
    if (doubtful) void discard(doubtful.taken.sha256).catch(() => undefined); // then it is offered among those left behind
    setDoubtful(null);
  };
  const close = () => {
    if (!open) return;
    setOpen(false);
    onOpened(false);
  };
  // What was taken is kept, as by the escape key: a gesture throws nothing away.
  useWayBack(Boolean(doubtful) || (inPage && open), () => (doubtful ? void handOn(doubtful.taken, doubtful.about) : close()));
  /** @param {{label: string, class?: string, before?: () => void}} props */
  const fileKey = (props) => html`<${FileKey} caseId=${caseId} about=${about} from=${from} busy=${busy} onFile=${take} ...${props} />`;

  return html`<div class=${`photo-button ${kind}`}>
    ${
      inPage
        ? html`<button
            type="button"
            class="key"
            aria-busy=${busy}
            onClick=${() => {
              setOpen(true);
              onOpened(true);
            }}
          ><${Icon} name="camera" />${label}</button>`
        : fileKey({ label })
    }
    ${(problem || (from === 'camera' && refused)) && !(inPage && open) && html`<p class="problem" role="alert">${problem || refused}</p>`}
    ${
      inPage &&
      open &&
      !doubtful &&
      html`<${CameraView}
        words=${words}
        about=${about}
        busy=${busy}
        trouble=${problem}
        onShot=${take}
        onRefused=${(/** @type {string} */ why) => {
          refused = phrase('{why} The phone’s own camera takes the photos meanwhile.', { why });
          setOpen(false);
          forget();
        }}
        onClose=${close}
      >${fileKey({ label: phrase('The phone’s own camera'), class: 'quiet' })}<//>`
    }
    ${
      doubtful &&
      html`<${DoubtfulPhoto} taken=${doubtful.taken} onKeep=${() => void handOn(doubtful.taken, doubtful.about)}>
        ${
          inPage && open
            ? html`<button type="button" class="key main tall" onClick=${again}><${Icon} name="camera" />Again</button>`
            : fileKey({ label: phrase('Again'), class: 'main tall', before: again })
        }
      <//>`
    }
  </div>`;
}

/**
 * Whether the camera inside the page is to be used: not before it is known that there is one.
 * @param {'camera' | 'files'} from
 * @returns {[boolean, () => void]}
 */
function useInPageCamera(from) {
  const [usable, setUsable] = useState(false);
  useEffect(() => {
    let gone = false;
    if (from === 'camera' && !refused) void seemsToHaveCamera().then((there) => !gone && setUsable(there));
    return () => {
      gone = true;
    };
  }, [from]);
  return [usable, () => setUsable(false)];
}

/**
 * The phone's own camera, or its files.
 * @param {object} props
 * @param {string} props.caseId
 * @param {About} props.about
 * @param {'camera' | 'files'} props.from
 * @param {boolean} props.busy
 * @param {string} props.label
 * @param {string} [props.class]
 * @param {() => void} [props.before]  a file is there
 * @param {(file: Blob, about: About) => Promise<void>} props.onFile
 */
function FileKey({ caseId, about, from, busy, label, class: kind = '', before = () => {}, onFile }) {
  // The system's camera can kill the page: what was wanted is on the disk before it opens.
  const expect = () => void drafts.expectPhoto({ case: caseId, about, screen: location.hash }).catch(() => undefined);
  const came = () => void drafts.photoCame().catch(() => undefined);
  /** @param {Event} event */
  const onChange = async (event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    const file = input.files?.[0];
    input.value = '';
    if (file) {
      before();
      await onFile(file, about);
    }
    came();
  };
  return html`<label class=${`key ${kind}`} aria-busy=${busy}>
    <input
      class="unseen"
      type="file"
      accept="image/*"
      capture=${from === 'camera' ? 'environment' : undefined}
      disabled=${busy}
      onClick=${expect}
      onCancel=${came}
      onChange=${onChange}
    />
    <${Icon} name="camera" />${busy ? phrase('Keeping it') : label}
  </label>`;
}
