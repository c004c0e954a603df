/**
 * The core in its runtime: MicroPython (WebAssembly) in this worker, the core's files in its memory. Workers have no
 * import map, so addresses are written out.
 */
import { loadMicroPython } from '/vendor/@micropython/micropython-webassembly-pyscript/micropython.mjs';

const HEAP_BYTES = 8 * 1024 * 1024; // to begin with; the runtime takes more when it needs it
const PACKAGE = '/lib/coiltrail';

const ALIVE_MS = 1000; // how often a long answer says that it goes on

/** @type {Promise<(name: string, args: string, goesOn: () => void) => string>} */
const starting = start();

self.addEventListener('message', async (/** @type {MessageEvent<{id: number, name: string, args: string}>} */ { data }) => {
  try {
    const answer = await starting;
    const goesOn = () => self.postMessage({ alive: data.id });
    goesOn();
    self.postMessage({ id: data.id, answer: answer(data.name, data.args, goesOn) });
  } catch (error) {
    self.postMessage({ id: data.id, failed: error instanceof Error ? error.message : String(error) });
  }
});

async function start() {
  const [runtime, files] = await Promise.all([loadMicroPython({ heapsize: HEAP_BYTES, stdout: console.info }), coreFiles()]);
  for (const folder of ['/lib', PACKAGE, `${PACKAGE}/core`]) {
    if (!runtime.FS.analyzePath(folder).exists) runtime.FS.mkdir(folder);
  }
  runtime.FS.writeFile(`${PACKAGE}/__init__.py`, '');
  for (const { name, text } of files) runtime.FS.writeFile(`${PACKAGE}/core/${name}`, text);
  runtime.runPython("import sys\nif '/lib' not in sys.path: sys.path.append('/lib')\nfrom coiltrail.core.bridge import begin, advance");
  const begin = runtime.globals.get('begin');
  const advance = runtime.globals.get('advance');
  // Small steps: the runtime can clear its memory only between two calls.
  return (/** @type {string} */ name, /** @type {string} */ args, /** @type {() => void} */ goesOn) => {
    begin(name, args);
    let answer = '';
    let said = Date.now();
    while (!answer) {
      answer = advance();
      if (Date.now() - said > ALIVE_MS) {
        goesOn();
        said = Date.now();
      }
    }
    return answer;
  };
}

/** The core's files, as the release list names them. */
async function coreFiles() {
  const { files } = await (await fetched('/release.json')).json();
  const paths = files.map((/** @type {{path: string}} */ file) => file.path);
  return Promise.all(
    paths
      .filter((/** @type {string} */ path) => path.startsWith('/core/'))
      .map(async (/** @type {string} */ path) => ({ name: path.slice('/core/'.length), text: await (await fetched(path)).text() })),
  );
}

/** @param {string} path */
async function fetched(path) {
  const response = await fetch(path);
  if (!response.ok) throw new Error(`${path} could not be loaded (${response.status}).`);
  return response;
}
