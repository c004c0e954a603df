/**
 * The engine as a line drawing: bores with their numbers, how each runs and how likely it misses, and the coils that sit on
 * them. Nothing is said by colour alone: a gauge of ticks, strokes across the ring and words carry it.
 *
 * @typedef {object} BoreLook
 * @property {string} label  the whole state in words, for those who do not see the drawing
 * @property {string} [word]  beside it
 * @property {string[]} [others]  parts within that came from elsewhere, below that word
 * @property {number} [misses]  how likely, 0 to 1: how far the gauge goes round
 * @property {'runs' | 'weak' | 'dead' | ''} [running]
 * @property {string} [href]
 *
 * @typedef {object} PlaceLook  a coil or another part on its place
 * @property {string} label
 * @property {string} mark  what stands on it
 * @property {string} [from]  where it came from, if not from here
 * @property {boolean} [moved]
 * @property {boolean} [empty]
 * @property {boolean} [picked]
 * @property {() => void} [onPick]
 */
import { html } from './html.js';
import { plan, WIDTH } from './engine-geometry.js';
import { phrase } from './tongue.js';

const SMALL = 15; // a line of small words
const LINE = 18; // beside a bore there is room for one word a line

/**
 * @param {object} props
 * @param {import('./engine-geometry.js').Engine} props.engine
 * @param {string} [props.orientation]
 * @param {boolean} [props.turned]
 * @param {string} props.label
 * @param {(cylinder: number) => BoreLook} [props.bore]
 * @param {(position: number) => PlaceLook} [props.coil]
 * @param {(cylinder: number) => PlaceLook} [props.inBore]  parts that sit on the bores themselves: plugs, injectors
 */
export function EngineDrawing({ engine, orientation, turned, label, bore, coil, inBore }) {
  /** @type {(cylinder: number) => BoreLook} */
  const look = bore ?? ((/** @type {number} */ cylinder) => ({ label: phrase('Cylinder {cylinder}', { cylinder }) }));
  const more = Math.max(0, ...Array.from({ length: engine.cylinders }, (_, index) => (look(index + 1).others ?? []).length)) * SMALL;
  const drawn = plan(engine, { orientation, turned, words: Boolean(bore ?? inBore), more });
  const coilLook =
    coil ?? ((/** @type {number} */ position) => ({ label: phrase('Coil {position}', { position }), mark: String(position) }));
  // A long row keeps its size and scrolls sideways rather than becoming too small to read.
  const least = drawn.width > 1.25 * WIDTH ? { minWidth: `${drawn.width / 16}rem` } : undefined;
  return html`<div class="drawing">
    <svg
      class="engine"
      style=${least}
      role="group"
      aria-label=${label}
      viewBox=${`0 0 ${drawn.width} ${drawn.height}`}
      width=${drawn.width}
      height=${drawn.height}
    >
      ${drawn.blocks.map(
        (box, index) => html`<g key=${`block${index}`}>
        <${Block} box=${box} lengthways=${drawn.lengthways} />
      </g>`,
      )}
      ${drawn.coils.flatMap((one) => one.leads.map((path) => html`<path key=${path} class="lead" d=${path} />`))}
      ${drawn.distributor && html`<circle class="cap" cx=${drawn.distributor.x} cy=${drawn.distributor.y} r="34" />`}
      ${drawn.coils.map(
        (one) => html`<${Coil}
        key=${`coil${one.position}`}
        at=${one}
        look=${coilLook(one.position)}
        fixed=${Boolean(inBore)}
      />`,
      )}
      ${drawn.bores.map(
        (one) => html`<${Bore}
        key=${`bore${one.cylinder}`}
        at=${one}
        look=${look(one.cylinder)}
        part=${inBore?.(one.cylinder)}
      />`,
      )}
    </svg>
    <p class="drawing-front" aria-hidden="true"><span>front of the car</span></p>
  </div>`;
}

/**
 * A bank of the block: its outline with the joints between the cylinders.
 * @param {{box: import('./engine-geometry.js').Box, lengthways: boolean}} props
 */
function Block({ box: { x, y, w, h } }) {
  return html`<rect
    class="block"
    x=${x + 1}
    y=${y}
    width=${w - 2}
    height=${h}
    rx="7"
  /><rect class="block-inner" x=${x + 4} y=${y + 3} width=${w - 8} height=${h - 6} rx="5" />`;
}

/** @param {{at: import('./engine-geometry.js').Bore, look: BoreLook, part?: PlaceLook}} props */
function Bore({ at, look, part }) {
  const shapes = html`
    <rect
      class="focus-ring"
      x=${at.x - at.r - 4}
      y=${at.y - at.r - 4}
      width=${2 * at.r + 8}
      height=${2 * at.r + 8}
      rx="6"
    />
    <circle class="bore" cx=${at.x} cy=${at.y} r=${at.r} />
    ${look.running === 'runs' && html`<circle class="bore-runs" cx=${at.x} cy=${at.y} r=${at.r - 3} />`}
    ${(look.misses ?? 0) > 0.02 && html`<path class="gauge" d=${arc(at, at.r - 6, look.misses ?? 0)} />`}
    ${strokes(at, look.running).map((path, index) => html`<path key=${index} class="bore-stroke" d=${path} />`)}
  `;
  // The number is always that of the cylinder; what sits in it is told beside, where it is not its own.
  const held = part?.mark === 'new' ? markWords('new') : part?.empty ? '\u2013' : '';
  const lettering = html`<g class="lettering" aria-hidden="true">
    <text class="number" x=${at.x} y=${at.y + (part && held ? 2 : 8)} text-anchor="middle">${at.cylinder}</text>
    ${part && held && html`<text class="held" x=${at.x} y=${at.y + 19} text-anchor="middle">${held}</text>`}
    ${
      look.word &&
      html`<text
      class="word"
      y=${at.words.y + 10}
      text-anchor=${at.words.anchor}
    >${(look.word.match(/\S+ ?/g) ?? []).map((word, line) => html`<tspan x=${at.words.x} dy=${line && LINE}>${word}</tspan>`)}</text>`
    }
    ${
      part?.from &&
      html`<text
      class="from"
      x=${at.words.x}
      y=${at.words.y + 10}
      text-anchor=${at.words.anchor}
    >${part.from}</text>`
    }
    ${(look.others ?? []).map(
      (words, line) => html`<text
      class="from other"
      key=${line}
      x=${at.words.x}
      y=${at.words.y + 8 + LINE * (look.word ?? '').split(/\s+/).filter(Boolean).length + SMALL * line}
      text-anchor=${at.words.anchor}
    >${words}</text>`,
    )}
  </g>`;
  if (part) return html`<${Pick} look=${part} kind="bore-group">${shapes}<//>${lettering}`;
  if (look.href)
    return html`<a class="bore-group" href=${look.href} aria-label=${look.label}>${shapes}</a>${lettering}`;
  return html`<g class="bore-group" role="img" aria-label=${look.label}>${shapes}</g>${lettering}`;
}

/** @param {{at: import('./engine-geometry.js').Coil, look: PlaceLook, fixed: boolean}} props */
function Coil({ at, look, fixed }) {
  const left = at.x - at.w / 2;
  const top = at.y - at.h / 2;
  const shapes = html`
    <rect class="focus-ring" x=${left - 5} y=${top - 5} width=${at.w + 10} height=${at.h + 10} rx="6" />
    <rect class="reach" x=${at.x - 26} y=${at.y - 24} width="52" height="48" />
    <rect class="coil" x=${left} y=${top} width=${at.w} height=${at.h} rx="5" />
    <path class="coil-winding" d=${`M${left + 4} ${top + 3}v${at.h - 6}M${left + at.w - 4} ${top + 3}v${at.h - 6}`} />
  `;
  const lettering = html`<g class="lettering" aria-hidden="true">
    <text class=${`mark ${markSort(look.mark)}`} x=${at.x} y=${at.y + 6} text-anchor="middle">${markWords(look.mark)}</text>
    ${
      look.from &&
      html`<text
      class="from"
      x=${at.words.x}
      y=${at.words.y}
      text-anchor=${at.words.anchor}
    >${look.from}</text>`
    }
  </g>`;
  if (fixed) return html`<g class="coil-group faint" aria-hidden="true">${shapes}${lettering}</g>`;
  return html`<${Pick} look=${look} kind="coil-group">${shapes}<//>${lettering}`;
}

/**
 * A place that can be picked up from and put down on, by finger, keyboard and screen reader.
 * @param {{look: PlaceLook, kind: string, children?: any}} props
 */
function Pick({ look, kind, children }) {
  const state = `${kind}${look.moved ? ' moved' : ''}${look.empty ? ' empty' : ''}${look.picked ? ' picked' : ''}`;
  if (!look.onPick) return html`<g class=${state} role="img" aria-label=${look.label}>${children}</g>`;
  /** @param {KeyboardEvent} event */
  const onKeyDown = (event) => {
    if (event.key !== 'Enter' && event.key !== ' ') return;
    event.preventDefault();
    look.onPick?.();
  };
  return html`<g
    class=${`${state} pick`}
    role="button"
    tabindex="0"
    aria-label=${look.label}
    aria-pressed=${look.picked ? 'true' : 'false'}
    onClick=${look.onPick}
    onKeyDown=${onKeyDown}
  >${children}</g>`;
}

/** How large its lettering may be. @param {string} mark */
function markSort(mark) {
  return mark === 'new' ? 'as-word' : '';
}

/** @param {string} mark  a number, or "new" */
function markWords(mark) {
  return mark === 'new' ? phrase('new ((part))') : mark;
}

/**
 * Part of a circle from the top clockwise.
 * @param {{x: number, y: number}} at
 * @param {number} r
 * @param {number} share
 */
function arc(at, r, share) {
  const part = Math.min(share, 0.9999);
  const angle = 2 * Math.PI * part;
  const x = at.x + r * Math.sin(angle);
  const y = at.y - r * Math.cos(angle);
  return `M${at.x} ${at.y - r}A${r} ${r} 0 ${part > 0.5 ? 1 : 0} 1 ${x.toFixed(2)} ${y.toFixed(2)}`;
}

/**
 * Strokes across the ring: two for a weak cylinder, four for a dead one.
 * @param {{x: number, y: number, r: number}} at
 * @param {string} [running]
 */
function strokes(at, running) {
  const angles = running === 'dead' ? [45, 135, 225, 315] : running === 'weak' ? [45, 225] : [];
  return angles.map((degrees) => {
    const sin = Math.sin((degrees * Math.PI) / 180);
    const cos = Math.cos((degrees * Math.PI) / 180);
    const from = at.r - 4;
    const until = at.r + 5;
    return `M${(at.x + from * sin).toFixed(1)} ${(at.y - from * cos).toFixed(1)}L${(at.x + until * sin).toFixed(1)} ${(at.y - until * cos).toFixed(1)}`;
  });
}
