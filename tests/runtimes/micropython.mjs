// Runs one Python script on the phone's runtime, with the portable core beside it as coiltrail.core.
//
//   node micropython.mjs CORE_DIRECTORY HEAP_BYTES < {"script": "...", "given": "JSON text", "questions": [[name, "JSON text"]]}
//
// The script finds what it was given as the text GIVEN. Its output goes to standard output; an error that
// it leaves unhandled goes to standard error and the process ends with 1. Questions, where there are any, are
// then put to the core's bridge as the phone's worker does, one line of output each.
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { machines, PYTHON } from "../../pwa/field/contractions.js";
import { loadMicroPython } from "../../pwa/node_modules/@micropython/micropython-webassembly-pyscript/micropython.mjs";

const [coreDirectory, heapsize] = process.argv.slice(2);
const { script, given, questions } = JSON.parse(readFileSync(0, "utf8"));

const output = [];
const runtime = await loadMicroPython({
  heapsize: Number(heapsize),
  linebuffer: false,
  stdout: (bytes) => output.push(Buffer.from(bytes)),
});
runtime.FS.mkdir("/lib");
runtime.FS.mkdir("/lib/coiltrail");
runtime.FS.mkdir("/lib/coiltrail/core");
runtime.FS.writeFile("/lib/coiltrail/__init__.py", "");
for (const name of readdirSync(coreDirectory)) {
  if (name.endsWith(".py")) {
    runtime.FS.writeFile(`/lib/coiltrail/core/${name}`, readFileSync(join(coreDirectory, name)));
  }
}
runtime.globals.set("GIVEN", given);
const arithmetic = machines(runtime._module);
try {
  runtime.runPython(`import sys\nsys.path.append("/lib")`);
  runtime.runPython(script);
  if (questions.length) {
    runtime.registerJsModule("phone_machines", arithmetic);
    runtime.runPython(PYTHON);
    runtime.runPython("from coiltrail.core.bridge import begin, advance");
  }
  for (const [name, args] of questions) output.push(Buffer.from(`${answer(name, args)}\n`));
} catch (error) {
  process.stderr.write(`${error.message}\n`);
  process.exitCode = 1;
}
process.stdout.write(Buffer.concat(output));

// In steps, since only between two calls can the runtime clear its memory.
function answer(name, args) {
  arithmetic.clear();
  runtime.globals.get("begin")(name, args);
  let text = "";
  while (!text) text = runtime.globals.get("advance")();
  return text;
}
