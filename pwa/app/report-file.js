/** The report as one file: what is on the screen, with its styles and pictures inside. */

const LONGEST_SIDE = 1000; // px: enough for paper, small enough to be sent
const QUALITY = 0.85;

/** @param {HTMLElement} page @param {string} title @param {string} language @returns {Promise<File>} */
export async function reportFile(page, title, language) {
  const copy = /** @type {HTMLElement} */ (page.cloneNode(true));
  const shown = page.querySelectorAll('img');
  const copied = copy.querySelectorAll('img');
  for (const [index, image] of shown.entries()) copied[index].src = await inside(image);
  const style = await (await fetch('/styles/report.css')).text();
  const head = `<meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>${escaped(title)}</title>`;
  const body = `<body class="report-alone">${copy.innerHTML}</body>`;
  const whole = `<!doctype html><html lang="${language}"><head>${head}<style>${style}</style></head>${body}</html>`;
  const name = `${title.replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-|-$/g, '') || 'report'}.html`;
  return new File([whole], name, { type: 'text/html' });
}

/**
 * A picture as part of the text. It is drawn anew, since the page's policy lets nothing fetch its blob.
 * @param {HTMLImageElement} image
 * @returns {Promise<string>}
 */
async function inside(image) {
  await image.decode();
  const scale = Math.min(1, LONGEST_SIDE / Math.max(image.naturalWidth, image.naturalHeight));
  const canvas = document.createElement('canvas');
  canvas.width = Math.round(image.naturalWidth * scale);
  canvas.height = Math.round(image.naturalHeight * scale);
  canvas.getContext('2d')?.drawImage(image, 0, 0, canvas.width, canvas.height);
  return canvas.toDataURL('image/jpeg', QUALITY);
}

/** @param {string} text */
function escaped(text) {
  return text.replace(/[&<>"]/g, (sign) => `&#${sign.charCodeAt(0)};`);
}
