/** Signs drawn for this project: strokes on a 24 by 24 field. They never stand alone: a word is beside them. */
import { html } from '../html.js';

const PATHS = {
  back: 'M15 4 7 12l8 8',
  onward: 'm9 4 8 8-8 8',
  down: 'm4 9 8 8 8-8',
  plus: 'M12 4v16M4 12h16',
  cross: 'm6 6 12 12M18 6 6 18',
  tick: 'm4 13 5 5L20 6',
  phone: 'M8 3h8a1 1 0 0 1 1 1v16a1 1 0 0 1-1 1H8a1 1 0 0 1-1-1V4a1 1 0 0 1 1-1ZM10.5 18h3',
  shop: 'M3 10 12 4l9 6M5 9v11h14V9M9 20v-6h6v6',
  warn: 'M12 4 2.5 20h19L12 4ZM12 10v5M12 17.6v.4',
  note: 'M5 3h14v18H5zM8 8h8M8 12h8M8 16h5',
  camera: 'M3 8h4l2-3h6l2 3h4v11H3zM12 17a3.6 3.6 0 1 0 0-7.2 3.6 3.6 0 0 0 0 7.2Z',
  play: 'M7 4v16l13-8Z',
  // A microphone on its stand.
  voice: 'M12 3a3 3 0 0 1 3 3v5a3 3 0 0 1-6 0V6a3 3 0 0 1 3-3ZM6 11a6 6 0 0 0 12 0M12 17v4M8 21h8',
  // A three-pin plug with its lock tab.
  connector: 'M5 9h14v9H5zM9 9V6h6v3M8.5 13v1.5M12 13v1.5M15.5 13v1.5M9 18v3M15 18v3',
  // Letters of a reader's screen.
  codes: 'M4 5h16v14H4zM7 10h4M7 14h7M14 10h3',
  // A needle that falls.
  drop: 'M3 17a9 9 0 0 1 18 0M12 17 7 9.5M12 17h.01M5 20h14',
  // A wave that a phone feels.
  shake: 'M2 12h3l2-6 4 13 4-14 3 10 1.5-3H22',
  // Two parts changing places.
  move: 'M4 8h13m-4-4 4 4-4 4M20 16H7m4-4-4 4 4 4',
  check: 'M10.5 17a6.5 6.5 0 1 0 0-13 6.5 6.5 0 0 0 0 13ZM15.5 15.5 21 21',
  repair:
    'M14.5 6.5a4 4 0 0 1 5-1l-2.6 2.6 1 1.9 1.9-.2L21.5 8a4 4 0 0 1-5.6 3.6L8 19.5a2 2 0 0 1-2.9-2.9L13 8.7c-.1-.8.5-1.6 1.5-2.2Z',
  clear: 'm4 15 8-9 7 6-7 8H8zM9 20h11M8 11l7 6',
  road: 'M9 3 4 21M15 3l5 18M12 4v3M12 10v3M12 16v4',
  tag: 'M4 8.5 8.5 4H20v16H8.5L4 15.5zM8 12h.01M12 9h5M12 13h5',
  // A car from ahead.
  car: 'm5 12 2.2-6h9.6L19 12M4 12h16v5.5H4zM6 17.5V20M18 17.5V20M7 14.8h1.5M15.5 14.8H17',
  // What was said.
  said: 'M4 4.5h16v11.5h-8.5L7 20v-4H4zM8 8.5h8M8 12h5',
  // About so much.
  about: 'M5 3h14v18H5zM8 10c1.3-1.6 2.7-1.6 4 0s2.7 1.6 4 0M8 15c1.3-1.6 2.7-1.6 4 0s2.7 1.6 4 0',
  // A slip torn off its roll.
  slip: 'M6 3h12v18l-2-1.6-2 1.6-2-1.6-2 1.6-2-1.6L6 21zM9 7.5h6M9 11.5h6M13 15.5h2',
  close: 'M5 4h14v16H5zM8.5 12l2.5 2.5L16 9.5',
  report: 'M6 3h9l4 4v14H6zM15 3v4h4M9 12h7M9 16h7',
  more: 'M5 12h.01M12 12h.01M19 12h.01',
  gear: 'M4 7h9M17 7h3M4 17h3M11 17h9M15 9.5a2.5 2.5 0 1 0 0-5 2.5 2.5 0 0 0 0 5ZM9 19.5a2.5 2.5 0 1 0 0-5 2.5 2.5 0 0 0 0 5Z',
  turn: 'M5 12a7 7 0 0 1 12-5l2 2M19 4v5h-5M19 12a7 7 0 0 1-12 5l-2-2M5 20v-5h5',
  share: 'M12 15V4M8 7.5 12 3.5l4 4M5 12v8h14v-8',
  print: 'M7 8V3h10v5M7 17H4V8h16v9h-3M7 14h10v7H7z',
  strike: 'M4 12h16M7 7.5C7 5.5 9 4.5 12 4.5s4.5 1 5 2.5M7 17c.5 1.5 2 2.5 5 2.5s5-1 5-3',
  clock: 'M12 21a9 9 0 1 0 0-18 9 9 0 0 0 0 18ZM12 7v5l3.5 2',
};

/** @param {{name: keyof typeof PATHS}} props */
export function Icon({ name }) {
  return html`<svg
    class="icon"
    viewBox="0 0 24 24"
    aria-hidden="true"
    focusable="false"
  ><path d=${PATHS[name]} /></svg>`;
}
