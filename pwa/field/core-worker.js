/**
 * The core in its runtime: MicroPython (WebAssembly) in this worker, the core's files in its memory. Workers have no
 * import map, so addresses are written out.
 */
import { loadMicroPython } from '/vendor/@micropython/micropython-webassembly-pyscript/micropython.mjs';
import { startRuntime } from './runtime.js';

const HEAP_BYTES = 8 * 1024 * 1024; // to begin with; the runtime takes more when it needs it

const ALIVE_MS = 1000; // how often a long answer says that it goes on
const LISTEN_MS = 50; // how often it listens whether it is to give way

/** @type {Promise<{begin: (name: string, args: string) => void, advance: () => string, clear: () => void}>} */
const starting = start();

let givenUp = 0; // the ask that is to be stopped

self.addEventListener('message', async (/** @type {MessageEvent<{id: number, name: string, args: string, giveUp?: number}>} */ { data }) => {
  if (data.giveUp) {
    givenUp = data.giveUp;
    return;
  }
  try {
    const answer = await answerTo(data);
    self.postMessage(answer === null ? { givenUp: data.id } : { id: data.id, answer });
  } catch (error) {
    self.postMessage({ id: data.id, failed: error instanceof Error ? error.message : String(error) });
  }
});

/**
 * The answer as JSON, or null where it was given up on the way. In small steps: the runtime can clear its memory only
 * between two calls.
 * @param {{id: number, name: string, args: string}} ask
 */
async function answerTo({ id, name, args }) {
  givenUp = 0; // it may be one that was given up before
  const { begin, advance, clear } = await starting;
  self.postMessage({ alive: id });
  clear();
  begin(name, args);
  let answer = '';
  let said = Date.now();
  let listened = said;
  while (!answer) {
    answer = advance();
    const now = Date.now();
    if (now - said > ALIVE_MS) {
      self.postMessage({ alive: id });
      said = now;
    }
    if (!answer && now - listened > LISTEN_MS) {
      await new Promise((resolve) => setTimeout(resolve));
      if (givenUp === id) return null;
      listened = now;
    }
  }
  return answer;
}

async function start() {
  const [{ runtime, clear }, texts] = await Promise.all([
    startRuntime(loadMicroPython, { heapsize: HEAP_BYTES, stdout: console.info }, coreFiles()),
    catalogue(new URL(self.location.href).searchParams.get('language') ?? 'en'),
  ]);
  runtime.runPython('from coiltrail.core.bridge import begin, advance');
  if (texts) speak(runtime, texts);
  return { begin: runtime.globals.get('begin'), advance: runtime.globals.get('advance'), clear };
}

/** The core's files: text by path. */
async function coreFiles() {
  const files = await (await fetched('/core.json')).json();
  return Object.fromEntries(Object.entries(files).map(([name, text]) => [`core/${name}`, text]));
}

/** What the core is to speak by, as JSON; null for English. @param {string} language */
async function catalogue(language) {
  return language === 'en' ? null : (await fetched(`/languages/${language}.json`)).text();
}

/** @param {any} runtime @param {string} texts */
function speak(runtime, texts) {
  runtime.globals.set('TEXTS', texts);
  runtime.runPython('import json\nfrom coiltrail.core import tongue\ntongue.use(json.loads(TEXTS))\ndel TEXTS');
}

/** @param {string} path */
async function fetched(path) {
  const response = await fetch(path);
  if (!response.ok) throw new Error(`${path} could not be loaded (${response.status}).`);
  return response;
}
