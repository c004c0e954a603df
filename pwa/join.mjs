/**
 * Puts together what a start reads: each module that a phone fetches costs it milliseconds, and a start needs sixty. What
 * the start and a case import becomes a few files, and so does the service worker; every module can still be had at its
 * address. Written to `node_modules/.joined`, which stands in for the sources as long as `made.json` names them as they are.
 *
 * `node join.mjs`, with nothing else: deploy/run.py and deploy/test.py call it.
 */
import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, realpathSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { rollup } from 'rollup';

const PWA = realpathSync(dirname(fileURLToPath(import.meta.url)));
const MODULES = join(PWA, 'node_modules');
const JOINED = join(MODULES, '.joined');
/** What is put together, in the order in which it is read: whatever an earlier one holds is in no later one. */
const STAGES = {
  texts: ['app/start.js'], // has to stand before a module puts texts together
  below: ['field/session.js', 'field/log.js'],
  first: ['app/main.js'],
  open: ['app/open-case.js', 'app/shop-terms.js'], // asks the core while the screen is read
  case: ['app/screens/case-home.js'],
};
const AT_START = ['texts', 'below', 'first'];
/** These run when they are read, so nothing that others import may lie in one file with them. */
const BY_THEMSELVES = ['app/start.js', 'app/main.js'];
/** What has no import map: its modules come by their addresses, and never with the page's. */
const WORKERS = ['field/core-worker.js', 'field/scan-worker.js', 'field/loudness.js'];
const APART = /^\/vendor\/(@micropython|zxing-wasm)\//;

const page = readFileSync(join(PWA, 'index.html'), 'utf8');
const IMPORT_MAP = /^ *<script type="importmap">([\s\S]*?)<\/script>\n/m;
const { imports } = JSON.parse(/** @type {RegExpExecArray} */ (IMPORT_MAP.exec(page))[1]);
const modules = ['app', 'field'].flatMap((folder) =>
  readdirSync(join(PWA, folder), { recursive: true }).map((path) => `${folder}/${path}`).filter((path) => path.endsWith('.js')),
);
const sources = ['index.html', 'sw.js', ...modules];

const byAddress = {
  name: 'by-address',
  /** @param {string} name */
  resolveId(name) {
    const address = imports[name] ?? name;
    if (APART.test(address)) return { id: address, external: true };
    return address.startsWith('/vendor/') ? join(MODULES, address.slice('/vendor/'.length)) : null;
  },
};

/** @param {import('rollup').LogLevel} _ @param {import('rollup').RollupLog} log */
function onLog(_, log) {
  if (log.code !== 'CIRCULAR_DEPENDENCY') throw new Error(log.message);
}

/** Everything that a module imports before it runs, itself included. @param {string[]} paths @param {import('rollup').GetModuleInfo} infoOf */
function closure(paths, infoOf) {
  const found = new Set();
  const needed = paths.map((path) => join(PWA, path));
  for (let id = needed.pop(); id; id = needed.pop()) {
    if (found.has(id) || APART.test(id)) continue;
    found.add(id);
    needed.push(...(infoOf(id)?.importedIds ?? []));
  }
  return found;
}

/** @type {[string, Set<string>][] | undefined} */
let stages;

/** @param {string} id @param {import('rollup').ManualChunkMeta} meta */
function stageOf(id, { getModuleInfo }) {
  stages ??= Object.entries(STAGES).map(([name, paths]) => [name, closure(paths, getModuleInfo)]);
  if (BY_THEMSELVES.some((path) => id === join(PWA, path))) return undefined;
  return stages.find(([, held]) => held.has(id))?.[0];
}

async function joinPage() {
  const input = Object.fromEntries(modules.map((path) => [path.replace(/\.js$/, ''), join(PWA, path)]));
  const bundle = await rollup({ input, plugins: [byAddress], onLog, preserveEntrySignatures: 'strict' });
  const { output } = await bundle.generate({
    entryFileNames: '[name].js',
    chunkFileNames: 'app/joined/[name].js',
    manualChunks: stageOf,
    minifyInternalExports: false,
    hoistTransitiveImports: false,
  });
  const files = output.filter((one) => one.type === 'chunk');
  for (const worker of WORKERS) {
    const file = files.find(({ fileName }) => fileName === worker);
    if (file?.imports.some((one) => one.startsWith('app/'))) throw new Error(`${worker} would read what is the page's.`);
  }
  return files;
}

async function joinWorker() {
  const bundle = await rollup({ input: join(PWA, 'sw.js'), plugins: [byAddress], onLog });
  const { output } = await bundle.generate({ inlineDynamicImports: true });
  return output[0].code;
}

/** @param {string} path @param {string} text */
function write(path, text) {
  const file = join(half, path);
  mkdirSync(dirname(file), { recursive: true });
  writeFileSync(file, text);
}

const half = `${JOINED}.${process.pid}`;
rmSync(half, { recursive: true, force: true });
const files = await joinPage();
for (const { fileName, code } of files) write(fileName, code);
write('sw.js', await joinWorker());
// The page asks at once for all that its start reads.
const stagesAtStart = Object.entries(STAGES).filter(([name]) => AT_START.includes(name));
const atStart = stagesAtStart.flatMap(([name, paths]) => [`app/joined/${name}.js`, ...paths]).filter((path) => path !== 'app/start.js');
const links = atStart.map((path) => `    <link rel="modulepreload" href="/${path}" />\n`).join('');
write('index.html', page.replace(IMPORT_MAP, '').replace(/^ *<!--[^\n]*join\.mjs[^\n]*\n/m, links));
const vendors = files.flatMap(({ moduleIds }) => moduleIds).filter((id) => id.startsWith(MODULES));
const digest = (/** @type {string} */ path) => createHash('sha256').update(readFileSync(join(PWA, path))).digest('hex');
const made = {
  sources: Object.fromEntries(sources.map((path) => [path, digest(path)])),
  vendors: [...new Set(vendors)].map((id) => `/vendor${id.slice(MODULES.length)}`).sort(),
};
write('made.json', JSON.stringify(made));
rmSync(JOINED, { recursive: true, force: true });
renameSync(half, JOINED);
