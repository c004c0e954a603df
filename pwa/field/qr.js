/** QR codes drawn on the phone, for labels without a connection. */
import encodeQR from '/vendor/qr/index.js';

const QUIET_ZONE = 4; // modules of white around it, as ISO/IEC 18004 asks

/**
 * @param {string} text  capitals, digits and `$%*+-./: ` alone give the smallest code
 * @returns {{size: number, path: string}} for `<svg viewBox="0 0 size size"><path d=path>`: dark modules of 1 x 1,
 *   quiet zone included
 */
export function qrPath(text) {
  const rows = encodeQR(text, 'raw', { ecc: 'medium', border: QUIET_ZONE });
  let path = '';
  for (const [y, row] of rows.entries()) {
    for (let x = 0; x < row.length; x++) {
      const from = x;
      while (row[x]) x++;
      if (x > from) path += `M${from} ${y}h${x - from}v1h-${x - from}z`;
    }
  }
  return { size: rows.length, path };
}
