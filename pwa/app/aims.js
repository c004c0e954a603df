/**
 * What a photo is to catch, and the frame that shows it: outlines drawn for this project on a field of 90 by 120, held upright
 * over the camera's picture.
 *
 * @typedef {object} Aim
 * @property {string} detail  as the entry of the photo names it; empty: the whole
 * @property {string} label
 * @property {string} hint
 * @property {string} frame  path
 */
import { html } from './html.js';
import { phrase } from './tongue.js';

const CORNERS = 'M6 22V6h16M68 6h16v16M84 98v16H68M22 114H6V98';

/** @type {Aim} */
const WHOLE = { detail: '', label: phrase('Whole'), hint: phrase('All of it inside the corners.'), frame: CORNERS };

/** @type {Aim[]} */
const CONNECTOR = [
  {
    detail: 'latch',
    label: phrase('Lock tab'),
    hint: phrase('The lock tab from above, inside the outline.'),
    frame: 'M25 52h40v34H25zM35 52V38h20v14M31 38h28',
  },
  {
    detail: 'pins',
    label: phrase('Pins'),
    hint: phrase('Straight into the plug, every pin in sight.'),
    frame: 'M14 38h62q4 0 4 4v36q0 4-4 4H14q-4 0-4-4V42q0-4 4-4ZM24 54h9v11h-9zM40.500 54h9v11h-9zM57 54h9v11h-9z',
  },
];

/** By what the photo shows. @type {Record<string, Aim[]>} */
const AIMS = {
  connector: CONNECTOR,
  coil: [
    {
      detail: 'boot',
      label: phrase('Boot'),
      hint: phrase('The boot along the outline, its open end below.'),
      frame: 'M27 12h36v16H27zM35 28h20v18H35zM33 46h24l2 60q-14 8-28 0z',
    },
    WHOLE,
  ],
  plug: [
    {
      detail: 'tip',
      label: phrase('Tip'),
      hint: phrase('Both electrodes inside the outline, the thread above.'),
      frame: 'M22 10h46v38H22zM22 22l46 5M22 32l46 5M35 48l4 24h12l4-24M42 72h6v12h-6zM64 48v50H40v-6h18V48',
    },
    WHOLE,
  ],
  codes: [
    {
      detail: '',
      label: phrase('Screen'),
      hint: phrase('The whole screen inside the frame, without glare.'),
      frame: 'M10 36h70v48H10z',
    },
  ],
};

/** The aims of a photo, the first one at once. @param {Record<string, any>} about  what its entry will say @returns {Aim[]} */
export function aimsOf(about) {
  return AIMS[about.shows] ?? [WHOLE];
}

/** @param {{aim: Aim}} props */
export function AimFrame({ aim }) {
  return html`<svg class="aim" viewBox="0 0 90 120" aria-hidden="true" focusable="false">
    <path class="aim-under" d=${aim.frame} /><path d=${aim.frame} />
  </svg>`;
}
