/**
 * The other side of the comparison: a general-purpose replicating database, its server and its client.
 * Run where it is installed: `node replicating.mjs serve DIR PORT`, `node replicating.mjs push FILE URL DIR`.
 */
import { createRequire } from 'node:module';
import { readFileSync } from 'node:fs';

const require = createRequire(`${process.cwd()}/`);
const PouchDB = require('pouchdb');
const [, , role, ...rest] = process.argv;

/** @param {string} folder @param {string} port */
function serve(folder, port) {
  const express = require('express');
  const app = express();
  const Kept = PouchDB.defaults({ prefix: `${folder}/` });
  app.use('/', require('express-pouchdb')(Kept, { mode: 'minimumForPouchDB', inMemoryConfig: true, logPath: `${folder}/log` }));
  app.listen(Number(port), '127.0.0.1');
}

/**
 * Put what is in the file into a database on this side, then replicate it and say how many seconds that took.
 * @param {string} file  JSON: `{entries, photos}`; a photo is `{entry, base64}`
 * @param {string} url
 * @param {string} folder
 */
async function push(file, url, folder) {
  const { entries, photos } = JSON.parse(readFileSync(file, 'utf8'));
  const attached = new Map(photos.map((/** @type {any} */ photo) => [photo.entry, photo.base64]));
  const local = new PouchDB(`${folder}/local`);
  for (const entry of entries) {
    const data = attached.get(entry.id);
    const _attachments = data && { picture: { content_type: 'image/jpeg', data } };
    await local.put({ _id: entry.id, ...entry, ...(data ? { _attachments } : {}) });
  }
  const remote = new PouchDB(url);
  await remote.info(); // makes it
  const began = performance.now();
  const done = await local.replicate.to(remote);
  const seconds = (performance.now() - began) / 1000;
  console.log(JSON.stringify({ seconds, written: done.docs_written, failed: done.doc_write_failures }));
  process.exit(0);
}

await (role === 'serve' ? serve(rest[0], rest[1]) : push(rest[0], rest[1], rest[2]));
