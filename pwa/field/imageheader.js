/**
 * What a picture's first bytes tell before it is decoded, and whether its end is there: browsers decode a JPEG that
 * breaks off in the middle without a word.
 *
 * @typedef {object} Header
 * @property {'jpeg' | 'png' | 'webp' | 'heif'} format  heif: HEIC and AVIF, which not every browser decodes
 * @property {number | null} width  px as stored, before turning; null where the header was not read for it
 * @property {number | null} height
 * @property {boolean} whole  the end is where the format says
 */

/**
 * @param {ArrayBuffer} buffer
 * @returns {Header | null} null: no picture of a kind we know
 */
export function imageHeader(buffer) {
  const view = new DataView(buffer);
  if (starts(view, [0xff, 0xd8, 0xff])) return jpeg(view);
  if (starts(view, [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a])) return png(view);
  if (text(view, 0) === 'RIFF' && text(view, 8) === 'WEBP') return webp(view);
  if (text(view, 4) === 'ftyp') return heif(view);
  return null;
}

/**
 * Segment by segment (ITU-T T.81, annex B); within coded data only `FF` followed by neither `00` nor a restart
 * marker ends it. Thumbnails inside APP segments, with ends of their own, are stepped over.
 * @param {DataView} view
 * @returns {Header}
 */
function jpeg(view) {
  /** @type {Header} */
  const header = { format: 'jpeg', width: null, height: null, whole: false };
  let at = 2;
  while (at + 4 <= view.byteLength) {
    if (view.getUint8(at) !== 0xff) return header;
    const marker = view.getUint8(at + 1);
    if (marker === 0xff) {
      at += 1; // fill byte
      continue;
    }
    const length = view.getUint16(at + 2);
    const isFrame = marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker);
    if (isFrame && at + 9 <= view.byteLength) {
      header.height = view.getUint16(at + 5);
      header.width = view.getUint16(at + 7);
    }
    at += 2 + length;
    if (marker === 0xda) at = endOfCodedData(view, at);
    if (at + 2 <= view.byteLength && view.getUint16(at) === 0xffd9) {
      header.whole = true;
      return header;
    }
  }
  return header;
}

/** @param {DataView} view @param {number} at */
function endOfCodedData(view, at) {
  for (; at + 1 < view.byteLength; at++) {
    if (view.getUint8(at) !== 0xff) continue;
    const next = view.getUint8(at + 1);
    const goesOn = next === 0x00 || next === 0xff || (next >= 0xd0 && next <= 0xd7);
    if (!goesOn) return at;
  }
  return view.byteLength;
}

/** Chunk by chunk to IEND (PNG specification, third edition, clause 5). @param {DataView} view @returns {Header} */
function png(view) {
  /** @type {Header} */
  const header = { format: 'png', width: null, height: null, whole: false };
  if (view.byteLength < 33) return header;
  header.width = view.getUint32(16);
  header.height = view.getUint32(20);
  for (let at = 8; at + 12 <= view.byteLength; at += 12 + view.getUint32(at)) {
    if (text(view, at + 4) === 'IEND') header.whole = true;
  }
  return header;
}

/** Sizes as in the WebP container specification (RFC 9649). @param {DataView} view @returns {Header} */
function webp(view) {
  /** @type {Header} */
  const header = { format: 'webp', width: null, height: null, whole: false };
  if (view.byteLength < 30) return header;
  const chunk = text(view, 12);
  if (chunk === 'VP8X') {
    header.width = 1 + (view.getUint32(24, true) & 0xffffff);
    header.height = 1 + (view.getUint32(26, true) >>> 8);
  } else if (chunk === 'VP8L') {
    const bits = view.getUint32(21, true);
    header.width = 1 + (bits & 0x3fff);
    header.height = 1 + ((bits >> 14) & 0x3fff);
  } else {
    header.width = view.getUint16(26, true) & 0x3fff;
    header.height = view.getUint16(28, true) & 0x3fff;
  }
  header.whole = view.getUint32(4, true) + 8 <= view.byteLength;
  return header;
}

/** Boxes must fill the file (ISO/IEC 14496-12). The pixel size stands deep inside and is not read. @param {DataView} view @returns {Header} */
function heif(view) {
  let at = 0;
  while (at + 8 <= view.byteLength) {
    const size = view.getUint32(at);
    if (size === 0) at = view.byteLength; // reaches to the end
    else if (size < 8) break; // 64-bit sizes are for films
    else at += size;
  }
  return { format: 'heif', width: null, height: null, whole: at === view.byteLength };
}

/** @param {DataView} view @param {number[]} bytes */
function starts(view, bytes) {
  return view.byteLength > bytes.length && bytes.every((byte, index) => view.getUint8(index) === byte);
}

/** Four letters. @param {DataView} view @param {number} at */
function text(view, at) {
  if (at + 4 > view.byteLength) return '';
  return String.fromCharCode(...[0, 1, 2, 3].map((index) => view.getUint8(at + index)));
}
