/** The report as one file: what is on the screen, with its styles and pictures inside. */

/** @param {HTMLElement} page @param {string} title @returns {Promise<File>} */
export async function reportFile(page, title) {
  const copy = /** @type {HTMLElement} */ (page.cloneNode(true));
  const shown = page.querySelectorAll('img');
  const copied = copy.querySelectorAll('img');
  for (const [index, image] of shown.entries()) copied[index].src = await inside(image.src);
  const style = await (await fetch('/styles/report.css')).text();
  const head = `<meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>${escaped(title)}</title>`;
  const body = `<body class="report-alone">${copy.innerHTML}</body>`;
  const whole = `<!doctype html><html lang="en"><head>${head}<style>${style}</style></head>${body}</html>`;
  const name = `${title.replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-|-$/g, '') || 'report'}.html`;
  return new File([whole], name, { type: 'text/html' });
}

/** A picture as part of the text. @param {string} url @returns {Promise<string>} */
async function inside(url) {
  const blob = await (await fetch(url)).blob();
  return new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(String(reader.result));
    reader.onerror = () => reject(reader.error);
    reader.readAsDataURL(blob);
  });
}

/** @param {string} text */
function escaped(text) {
  return text.replace(/[&<>"]/g, (sign) => `&#${sign.charCodeAt(0)};`);
}
