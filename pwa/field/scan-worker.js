/** Reads squares out of a picture, beside the page: one picture in, the texts of its squares out. */
import { prepareZXingModule, readBarcodes } from '/vendor/zxing-wasm/dist/es/reader/index.js';

prepareZXingModule({ overrides: { locateFile: () => '/vendor/zxing-wasm/dist/reader/zxing_reader.wasm' } });

addEventListener('message', async (/** @type {MessageEvent<ImageData>} */ { data }) => {
  try {
    const found = await readBarcodes(data, { formats: ['QRCode'], tryHarder: true, maxNumberOfSymbols: 4 });
    postMessage({ texts: found.map(({ text }) => text) });
  } catch {
    postMessage({ texts: null }); // its WebAssembly is not to be had
  }
});
