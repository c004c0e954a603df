/**
 * What a finding looks like, drawn for this project: ink for the part, the red pencil for what is wrong with it. A sketch
 * never stands alone: the finding's words are beside it.
 *
 * @typedef {object} Sketch  paths on a field of 96 by 64
 * @property {string} part
 * @property {string} [wrong]
 * @property {string} [wash]  areas
 * @property {string} [was]  dashed: where it ought to be
 */
import { html } from './html.js';

// Looking into the plug of a coil: housing, lock tab, three terminals.
const HOUSING = 'M20 20h56q4 0 4 4v28q0 4-4 4H20q-4 0-4-4V24q0-4 4-4ZM23 27h50v22H23z';
const TAB = 'M38 20v-8h20v8M35 12h26';
const PINS = 'M30 34h7v8h-7zM44.500 34h7v8h-7zM59 34h7v8h-7z';
const FACE = HOUSING + TAB + PINS;
// A coil with its boot, from the side.
const COIL = 'M32 4h32v15H32zM32 7H22v9h10M64 8h10v7H64M69 11.500h.1M42 19h12v12H42z';
const BOOT = 'M40 31h16l1 27q-9 4-18 0z';
// The end of a spark plug: thread, insulator, both electrodes.
const SHELL = 'M24 4h48v16H24zM24 9l48 3M24 14l48 3M38 20l4 16h12l4-16';
const STRAP = 'M70 20v36H44v-5h20V20';
const CENTRE = 'M45 36h6v9h-6z';
const TIP = SHELL + CENTRE + STRAP;

// A distributor cap from inside: rim, contacts, carbon in the middle.
const CAP = 'M21 32a27 27 0 1 0 54 0a27 27 0 1 0-54 0M45 11h6v6h-6zM62 29h6v6h-6zM45 47h6v6h-6zM28 29h6v6h-6zM44 32a4 4 0 1 0 8 0a4 4 0 1 0-8 0';

/** By check and finding. @type {Record<string, Record<string, Sketch>>} */
export const SKETCHES = {
  connector_look: {
    good: { part: FACE },
    latch_broken: {
      part: HOUSING + PINS,
      wrong: 'M38 20v-5l4 2 3-4 4 4 4-3 5 3v3M64 10l15-5 3 7-5 3-4-2-3 4z',
    },
    loose: {
      part: 'M12 20h34v28H12zM12 27H2M12 34H2M12 41H2M62 16h30M62 52h30M62 16v8M62 44v8M70 16v-5h8v5M46 20v-7h12',
      wrong: 'M47 28h14M47 34h14M47 40h14M47 57h14M50 54l-3 3 3 3M58 54l3 3-3 3',
    },
    corroded: {
      part: FACE,
      wash: 'M25 30q8-4 15 0q9-3 14 3q2 8-3 13q-8 3-13-1q-8 3-13-2q-3-7 0-13Z',
      wrong:
        'M27 31h.1M32 30h.1M39 31h.1M27 36h.1M40 36h.1M27 42h.1M39 41h.1M30 45h.1M36 45h.1M46 31h.1M51 30h.1M54 35h.1M55 40h.1M47 45h.1M53 45h.1M33 38h.1M48 38h.1M66 31h.1M69 44h.1M57 46h.1',
    },
    pin_back: {
      part: 'M86 12H22v40h64M4 22h72M76 20v4M4 42h72M76 40v4M22 20h6M22 44h6',
      was: 'M50 32h26',
      wrong: 'M4 32h42M46 30v4M72 26l-7 6 7 6M65 32h12',
    },
    spread: {
      part: 'M4 26h14l16 4M4 38h14l16-4M30 32h14M44 30v4H30v-4z',
      was: 'M54 26h12l16 4M54 38h12l16-4',
      wrong: 'M54 26h12l18-9M54 38h12l18 9M80 30h12v4H80z',
    },
    oily: {
      part: FACE,
      wash: 'M24 48q12-8 24-3q12 5 24-2v5H24zM40 28q-5 7 0 9q5-2 0-9ZM57 29q-4 5 0 7q4-2 0-7Z',
      wrong: 'M24 48q12-8 24-3q12 5 24-2M40 28q-5 7 0 9q5-2 0-9ZM57 29q-4 5 0 7q4-2 0-7ZM50 58q-3 4 0 5q3-1 0-5Z',
    },
    chafed: {
      part: 'M2 8q46-8 92 0M2 16q46-8 92 0M2 26h26M2 39h26M68 26h26M68 39h26M2 49q46 8 92 0M2 57q46 8 92 0',
      wrong: 'M28 26l4 4-3 3 4 3-5 3M68 26l-5 3 4 4-4 3 5 3M33 29q15 3 30 0M33 33h10M52 33h11M33 36q14-3 30 0',
    },
  },
  cap_look: {
    good: { part: CAP },
    tracked: { part: CAP, wrong: 'M51 29l3-3-1-4 4 1M51 16l5 2 1 5 6 1 1 5M56 18l4-2M57 23l-3 2' },
    cracked: { part: CAP, wrong: 'M27 14l8 6-2 5 8 3 0 5 5 4M35 20l5-1M41 28l4-3' },
    wet: {
      part: CAP,
      wash: 'M38 19q-5 7 0 9q5-2 0-9ZM58 38q-5 7 0 9q5-2 0-9ZM37 42q-4 5 0 7q4-2 0-7ZM59 18q-4 5 0 7q4-2 0-7Z',
      wrong: 'M38 19q-5 7 0 9q5-2 0-9ZM58 38q-5 7 0 9q5-2 0-9ZM37 42q-4 5 0 7q4-2 0-7ZM59 18q-4 5 0 7q4-2 0-7Z',
    },
    burnt: {
      part: CAP,
      wash: 'M42 8h12v12H42zM59 26h12v12H59z',
      wrong: 'M42 9l3 3M53 8l-3 4M43 20l3-3M54 19l-3-3M59 27l3 3M71 26l-3 4M60 38l3-3M71 37l-3-3',
    },
  },
  coil_look: {
    good: { part: COIL + BOOT },
    tracked: { part: COIL + BOOT, wrong: 'M48 31l3 5-5 4 4 5-4 4 5 4-3 6M51 36l3 2M46 40l-3 2M50 45l3 1' },
    cracked: { part: COIL + BOOT, wrong: 'M38 4l5 5-4 3 6 7M43 9l5-1M56 42l-5 3 2 3-6 3' },
    swollen: {
      part: COIL,
      was: BOOT,
      wash: 'M41 31q-12 8-7 19q14 14 28 0q5-11-7-19z',
      wrong: 'M41 31q-12 8-7 19q14 14 28 0q5-11-7-19z',
    },
    oil_in_well: {
      part: `${COIL}${BOOT}M26 26v36M70 26v36`,
      wash: 'M27 42q6-3 12 0l-.5 20H27zM57 42q6-3 12 0v20H57.500z',
      wrong: 'M27 42q6-3 12 0M57 42q6-3 12 0M31 50h4M61 52h4M33 57h3M60 58h3',
    },
  },
  plug_look: {
    good: { part: TIP },
    worn: { part: SHELL, was: `${CENTRE}M44 51h20`, wrong: 'M45 36h6v3q-3 3-6 0zM70 20v36H46q-2-1-1-3q9 2 14 0q4-1 5-5V20' },
    wet: {
      part: TIP,
      wash: 'M40 26q-5 7 0 9q5-2 0-9ZM56 28q-4 6 0 8q4-2 0-8ZM57 58q-3 4 0 6q3-2 0-6Z',
      wrong: 'M40 26q-5 7 0 9q5-2 0-9ZM56 28q-4 6 0 8q4-2 0-8ZM57 57q-3 4 0 6q3-2 0-6ZM50 46q-2 3 0 4q2-1 0-4Z',
    },
    oiled: {
      part: TIP,
      wash: 'M36 21h24q2 8-3 12q-1 8-6 7q-2 7-5 0q-5 0-5-7q-6-4-5-12Z',
      wrong: 'M36 21q-1 8 5 12q0 7 5 7q3 7 5 0q5 1 6-7q5-4 3-12M65 26q4 8 0 14M72 36q3 6 0 12',
    },
    sooty: {
      part: TIP,
      wrong: 'M42 24h.1M47 23h.1M53 24h.1M44 29h.1M50 28h.1M55 29h.1M46 34h.1M52 33h.1M48 40h.1M67 26h.1M67 34h.1M67 42h.1M67 50h.1M60 53h.1M53 54h.1M48 53h.1M28 18h.1M34 19h.1M63 18h.1M68 18h.1',
    },
    ash: {
      part: TIP,
      wash: 'M40 22l6-1 2 5-5 3zM52 24l5-2 1 6-5 1zM43 31l5-1 1 5-4 1z',
      wrong: 'M40 22l6-1 2 5-5 3zM52 24l5-2 1 6-5 1zM43 31l5-1 1 5-4 1zM51 32l3 1-1 4-3-1zM62 49l4-2 1 4-4 1z',
    },
    cracked: { part: TIP, wrong: 'M43 20l5 4-4 4 6 3-3 5M48 24l5-2' },
    tracked: { part: TIP, wrong: 'M44 6l4 5-6 4 6 5-6 5 5 6-3 5M52 8l-3 5 4 5-4 6' },
  },
  plug_gap: {
    in_range: { part: TIP },
    wide: { part: `${SHELL}M45 36h6v4h-6z${STRAP}`, wrong: 'M30 40h9M30 51h9M34 40v11M31 43l3-3 3 3M31 48l3 3 3-3' },
    narrow: { part: `${SHELL}M45 36h6v13h-6z${STRAP}`, wrong: 'M18 50h18M31 45l5 5-5 5' },
  },
};

/** What stands upright needs the middle of the field only. */
const UPRIGHT = ['coil_look', 'plug_look', 'plug_gap'];

/** The sketch of a finding, or nothing. @param {{check: string, finding: string}} props */
export function FindingSketch({ check, finding }) {
  const sketch = SKETCHES[check]?.[finding];
  if (!sketch) return null;
  const field = UPRIGHT.includes(check) ? '16 0 64 64' : '0 0 96 64';
  return html`<svg class="sketch" viewBox=${field} aria-hidden="true" focusable="false">
    ${sketch.wash && html`<path class="wash" d=${sketch.wash} />`}
    <path d=${sketch.part} />
    ${sketch.was && html`<path class="was" d=${sketch.was} />`}
    ${sketch.wrong && html`<path class="wrong" d=${sketch.wrong} />`}
  </svg>`;
}
