/**
 * The phone's runtime, MicroPython with the core in its memory, as the worker, the benchmark and the tests begin it.
 */
import { machines, PYTHON } from './contractions.js';

/** Python or bytecode by path below coiltrail/. @typedef {Record<string, string | Uint8Array>} Files */

const PACKAGE = '/lib/coiltrail';
const COLLECT_BYTES = 4 * 1024 * 1024; // taken between two collections of garbage within one question; each costs some milliseconds

/**
 * @param {(options: object) => Promise<any>} loadMicroPython
 * @param {object} options  of `loadMicroPython`: `heapsize`, `stdout` ...
 * @param {Files | Promise<Files>} files
 */
export async function startRuntime(loadMicroPython, options, files) {
  rememberFunctions();
  const [runtime, modules] = await Promise.all([loadMicroPython(options), files]);
  const folders = Object.keys(modules).map((path) => `${PACKAGE}/${path}`.split('/').slice(0, -1).join('/'));
  for (const folder of ['/lib', PACKAGE, ...folders]) if (!runtime.FS.analyzePath(folder).exists) runtime.FS.mkdir(folder);
  runtime.FS.writeFile(`${PACKAGE}/__init__.py`, '');
  for (const [path, module] of Object.entries(modules)) runtime.FS.writeFile(`${PACKAGE}/${path}`, module);
  runtime.runPython(`import sys, gc\ngc.threshold(${COLLECT_BYTES})\nif '/lib' not in sys.path: sys.path.append('/lib')`);
  const arithmetic = machines(runtime._module);
  runtime.registerJsModule('phone_machines', arithmetic);
  runtime.runPython(PYTHON);
  runtime.runPython('from gc import collect');
  const collect = runtime.globals.get('collect');
  /** Between two questions, so that the next one need not. */
  const tidy = () => {
    arithmetic.clear();
    collect();
  };
  return { runtime, tidy };
}

/**
 * The runtime asks its table for a function at every call, although it never changes one: a third of the time. So each
 * is asked for once.
 */
function rememberFunctions() {
  const { get } = WebAssembly.Table.prototype;
  /** @type {WeakMap<WebAssembly.Table, any[]>} */
  const held = new WeakMap();
  WebAssembly.Table.prototype.get = function (place) {
    let functions = held.get(this);
    if (!functions) held.set(this, (functions = []));
    return (functions[place] ??= get.call(this, place));
  };
}
