// Runs one Python script on the phone's runtime, with the portable core beside it as coiltrail.core.
//
//   node micropython.mjs CORE_DIRECTORY HEAP_BYTES < {"script": "...", "given": "JSON text"}
//
// The script finds what it was given as the text GIVEN. Its output goes to standard output; an error that
// it leaves unhandled goes to standard error and the process ends with 1.
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { loadMicroPython } from "../../pwa/node_modules/@micropython/micropython-webassembly-pyscript/micropython.mjs";

const [coreDirectory, heapsize] = process.argv.slice(2);
const { script, given } = JSON.parse(readFileSync(0, "utf8"));

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
try {
  runtime.runPython(`import sys\nsys.path.append("/lib")`);
  runtime.runPython(script);
} catch (error) {
  process.stderr.write(`${error.message}\n`);
  process.exitCode = 1;
}
process.stdout.write(Buffer.concat(output));
