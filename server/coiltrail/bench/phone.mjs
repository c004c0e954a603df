/**
 * The phone's runtime, measured: in a module worker of a browser, or in Node.
 *
 * @typedef {object} Question
 * @property {Record<string, string>} files  Python or bytecode by path below coiltrail/, in Base64
 * @property {string} what  as in thinking.py
 * @property {string} entries  JSON
 * @property {number} heap  bytes to begin with
 * @property {number} times  how often, at most
 * @property {boolean} sampling  look at the heap after every step, which takes time
 */

const ENOUGH_MS = 3000; // of one question

/**
 * The milliseconds of each time, the first being that of a runtime just started; the bytes the heap held at most, and its size in the end (it grows where it must).
 * @param {(options: object) => Promise<any>} loadMicroPython
 * @param {{startRuntime: Function}} field  the page's own beginning
 * @param {Question} question
 */
export async function measure(loadMicroPython, field, { files, what, entries, heap, times, sampling }) {
  const bytes = Object.fromEntries(Object.entries(files).map(([path, text]) => [path, Uint8Array.from(atob(text), (one) => one.charCodeAt(0))]));
  const { runtime, tidy } = await field.startRuntime(loadMicroPython, { heapsize: heap, stdout: console.log }, bytes);
  runtime.runPython('from coiltrail.bench.thinking import begin, advance, advance_looking, heap');
  const begin = runtime.globals.get('begin');
  const advance = runtime.globals.get(sampling ? 'advance_looking' : 'advance');
  const took = [];
  for (let sum = 0; took.length < times && sum < ENOUGH_MS; sum += took[took.length - 1]) {
    tidy();
    begin(what, entries);
    const began = performance.now();
    let answer = '';
    while (!answer) answer = advance();
    took.push(performance.now() - began);
    const { error } = JSON.parse(answer);
    if (error) throw new Error(error.message);
  }
  return { took, ...JSON.parse(runtime.globals.get('heap')()) };
}
