// Runs one Python script on the phone's runtime, with the portable core beside it as coiltrail.core.
//
//   node micropython.mjs CORE_DIRECTORY HEAP_BYTES < {"script": "...", "given": "JSON text", "questions": [[name, "JSON text"]]}
//
// The script finds what it was given as the text GIVEN. Its output goes to standard output; an error that
// it leaves unhandled goes to standard error and the process ends with 1. Questions, where there are any, are
// then put to the core's bridge as the phone's worker does, one line of output each.
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { startRuntime } from "../../pwa/field/runtime.js";
import { loadMicroPython } from "../../pwa/node_modules/@micropython/micropython-webassembly-pyscript/micropython.mjs";

const [coreDirectory, heapsize] = process.argv.slice(2);
const { script, given, questions } = JSON.parse(readFileSync(0, "utf8"));

const output = [];
const options = { heapsize: Number(heapsize), linebuffer: false, stdout: (bytes) => output.push(Buffer.from(bytes)) };
const names = readdirSync(coreDirectory);
const files = Object.fromEntries(names.map((name) => [`core/${name}`, readFileSync(join(coreDirectory, name))]));
const { runtime, tidy } = await startRuntime(loadMicroPython, options, files);
runtime.globals.set("GIVEN", given);
try {
  runtime.runPython(script);
  if (questions.length) runtime.runPython("from coiltrail.core.bridge import begin, advance");
  for (const [name, args] of questions) output.push(Buffer.from(`${answer(name, args)}\n`));
} catch (error) {
  process.stderr.write(`${error.message}\n`);
  process.exitCode = 1;
}
process.stdout.write(Buffer.concat(output));

// In steps, since only between two calls can the runtime clear its memory.
function answer(name, args) {
  tidy();
  runtime.globals.get("begin")(name, args);
  let text = "";
  while (!text) text = runtime.globals.get("advance")();
  return text;
}
