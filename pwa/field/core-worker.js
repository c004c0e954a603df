/**
 * The core in its runtime: MicroPython (WebAssembly) in this worker, the core's files in its memory. Workers have no
 * import map, so addresses are written out.
 */
import { loadMicroPython } from '/vendor/@micropython/micropython-webassembly-pyscript/micropython.mjs';
import { startRuntime } from './runtime.js';

const HEAP_BYTES = 8 * 1024 * 1024; // to begin with; the runtime takes more when it needs it

const USE = `
import json
from coiltrail.core import tongue
def use(texts):
    tongue.use(json.loads(texts) if texts else None)
ahead = read_ahead()
def read_more():
    return next(ahead, True) is None
`;

const LINE_END = 10; // as a byte
const ALIVE_MS = 1000; // how often a long answer says that it goes on
const SPARE_MS = 100; // between two looks whether there is time again to read ahead
const LISTEN_MS = 50; // how often it listens whether it is to give way

/** @type {Promise<{begin: (name: string, args: string) => void, advance: () => string, tidy: () => void, readMore: () => boolean, speak: (language: string) => Promise<void>}>} */
const starting = start();
void starting.catch(() => undefined).then(() => self.postMessage({ started: true })); // or is known not to
void starting.then(readAhead, () => undefined);

/** @typedef {{id: number, name: string, args: string, language: string}} Ask */

let asked = 0; // how many asks are being answered or wait for it

/** Settled when the runtime is free again. */
let turn = Promise.resolve();

/** Asks that are to be stopped. @type {Set<number>} */
const givenUp = new Set();

self.addEventListener('message', (/** @type {MessageEvent<Ask & {giveUp?: number}>} */ { data }) => {
  if (data.giveUp) {
    givenUp.add(data.giveUp);
    return;
  }
  asked += 1;
  turn = turn.then(() => take(data));
});

/** Answer one ask; the next begins when the runtime is tidy again. @param {Ask} ask */
async function take(ask) {
  try {
    const answer = await answerTo(ask);
    self.postMessage(answer === null ? { givenUp: ask.id } : { id: ask.id, answer });
  } catch (error) {
    self.postMessage({ id: ask.id, failed: error instanceof Error ? error.message : String(error) });
  }
  asked -= 1;
  await starting.then(({ tidy }) => tidy()).catch(() => undefined); // one that does not start has been told
}

/**
 * The answer as JSON, or null where it was given up on the way. In small steps: the runtime can clear its memory only
 * between two calls.
 * @param {Ask} ask
 */
async function answerTo({ id, name, args, language }) {
  const { begin, advance, speak } = await starting;
  self.postMessage({ alive: id });
  await speak(language);
  await messagesHeard();
  if (givenUp.delete(id)) return null; // before it was begun
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
      await messagesHeard();
      if (givenUp.delete(id)) return null;
      listened = now;
    }
  }
  return answer;
}

const heard = new MessageChannel();

/** @type {(() => void)[]} */
const listening = [];
heard.port1.onmessage = () => listening.shift()?.();

/**
 * Settled once the messages that have come were heard. A timer would do it too, but waits four milliseconds each time.
 * @returns {Promise<void>}
 */
function messagesHeard() {
  return new Promise((resolve) => {
    listening.push(resolve);
    heard.port2.postMessage(null);
  });
}

/** What no question needed yet is read while nothing is asked. @param {{readMore: () => boolean}} runtime */
async function readAhead({ readMore }) {
  do {
    await messagesHeard();
    while (asked) await new Promise((resolve) => setTimeout(resolve, SPARE_MS));
  } while (readMore());
}

async function start() {
  const first = new URL(self.location.href).searchParams.get('language') ?? 'en';
  const [{ runtime, tidy }, texts] = await Promise.all([
    startRuntime(loadMicroPython, { heapsize: HEAP_BYTES, stdout: console.info }, coreFiles()),
    catalogue(first),
  ]);
  runtime.runPython('from coiltrail.core.bridge import begin, advance, read_ahead');
  runtime.runPython(USE);
  const use = runtime.globals.get('use');
  let spoken = first;
  use(texts);
  return {
    begin: runtime.globals.get('begin'),
    advance: runtime.globals.get('advance'),
    tidy,
    readMore: runtime.globals.get('read_more'),
    async speak(/** @type {string} */ language) {
      if (language === spoken) return;
      use(await catalogue(language));
      spoken = language;
    },
  };
}

/** The core's files by path, of one file: a line that says how long each is, then one after the other. */
async function coreFiles() {
  const pack = new Uint8Array(await (await fetched('/core.pack')).arrayBuffer());
  let at = pack.indexOf(LINE_END) + 1;
  /** @type {[string, number][]} */
  const index = JSON.parse(new TextDecoder().decode(pack.subarray(0, at)));
  return Object.fromEntries(index.map(([name, length]) => [`core/${name}`, pack.subarray(at, (at += length))]));
}

/** What the core is to speak by, as JSON; empty for English. @param {string} language */
async function catalogue(language) {
  return language === 'en' ? '' : (await fetched(`/languages/${language}.json`)).text();
}

/** @param {string} path */
async function fetched(path) {
  const response = await fetch(path);
  if (!response.ok) throw new Error(`${path} could not be loaded (${response.status}).`);
  return response;
}
