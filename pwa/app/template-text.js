/**
 * The texts of a template: what stands between two tags, and what stands in an attribute that people read or hear. A text
 * goes as a whole, `{0}`, `{1}` ... standing for what the template puts in, so that another language may order it anew.
 *
 * @typedef {{start: number, end: number, text: string, holes: number[], before: string, after: string}} Piece
 * @typedef {{strings: string[], order: number[]}} Spoken  order: which value goes into each gap
 */

/** Attributes and properties whose fixed text is for people. */
export const READ = new Set(
  'alt aria-description aria-label aria-roledescription backWords heading help hint label legend placeholder saved sure title what words'.split(' '),
);

const HOLE = '\ue000';
const TAG = /<!--[^]*?-->|<(?:"[^"]*"|'[^']*'|[^'">])*>/g;
const ATTRIBUTE = /([\w:-]+)=(?:"([^"]*)"|'([^']*)')/g;

/**
 * The template with every text as `say` gives it.
 * @param {readonly string[]} template
 * @param {(text: string) => string} say
 * @returns {Spoken}
 */
export function spoken(template, say) {
  const source = template.join(HOLE);
  let whole = '';
  let from = 0;
  for (const piece of piecesOf(source)) {
    whole += numbered(source.slice(from, piece.start), holesIn(source.slice(0, from)));
    whole += piece.before + say(piece.text).replace(/\{(\d+)\}/g, (_, place) => hole(piece.holes[place])) + piece.after;
    from = piece.end;
  }
  whole += numbered(source.slice(from), holesIn(source.slice(0, from)));
  const parts = whole.split(/\ue000(\d+)\ue001/);
  return { strings: parts.filter((_, at) => at % 2 === 0), order: parts.filter((_, at) => at % 2).map(Number) };
}

/** Every text of a template, as the catalogues have it. @param {readonly string[]} template */
export function textsOf(template) {
  return piecesOf(template.join(HOLE)).map((piece) => piece.text);
}

/** @param {string} source @returns {Piece[]} */
function piecesOf(source) {
  /** @type {Piece[]} */
  const pieces = [];
  let from = 0;
  for (const tag of source.matchAll(TAG)) {
    pieces.push(...pieceAt(source, from, tag.index));
    from = tag.index + tag[0].length;
    for (const found of tag[0].matchAll(ATTRIBUTE)) {
      const value = found[2] ?? found[3];
      const start = tag.index + found.index + found[0].length - 1 - value.length;
      if (READ.has(found[1])) pieces.push(...pieceAt(source, start, start + value.length));
    }
  }
  return [...pieces, ...pieceAt(source, from, source.length)];
}

/** The text between two places, if there is any. @param {string} source @param {number} start @param {number} end @returns {Piece[]} */
function pieceAt(source, start, end) {
  const first = holesIn(source.slice(0, start));
  const chunks = source.slice(start, end).split(HOLE).map(drawn);
  const raw = chunks.map((chunk, at) => (at ? `{${at - 1}}` : '') + chunk).join('');
  const text = raw.trim();
  if (!/\p{L}/u.test(chunks.join(''))) return [];
  const holes = chunks.slice(1).map((_, at) => first + at);
  return [{ start, end, text, holes, before: /^ /.test(raw) ? ' ' : '', after: / $/.test(raw) ? ' ' : '' }];
}

/** White space as htm and the page treat it. @param {string} chunk */
function drawn(chunk) {
  return chunk.replace(/^\s*\n\s*|\s*\n\s*$/g, '').replace(/\s+/g, ' ');
}

/** @param {string} source */
function holesIn(source) {
  return source.split(HOLE).length - 1;
}

/** @param {string} source @param {number} first */
function numbered(source, first) {
  return source.split(HOLE).map((chunk, at) => (at ? hole(first + at - 1) : '') + chunk).join('');
}

/** @param {number} index */
function hole(index) {
  return `\ue000${index}\ue001`;
}
