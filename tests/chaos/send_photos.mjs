/**
 * A phone with photos, by the rules of `pwa/field`, over connections of one request each.
 *
 *     node send_photos.mjs PORT TOKEN FOLDER
 *
 * Sends every file of the folder, each named by its hash, as often as it takes, and prints how often it was broken off.
 */
import { readFileSync, readdirSync } from 'node:fs';
import { request } from 'node:http';
import { sendPieces, verdictOf } from '../../pwa/field/pieces.js';
import { send } from '../../pwa/field/shop.js';

const [port, token, folder] = process.argv.slice(2);
const PAUSE_MS = 100; // stands for the wait of sync-triggers.js after a failure

globalThis.fetch = (path, { method, headers, body }) =>
  new Promise((resolve, reject) => {
    const all = { ...headers, Cookie: `coiltrail_device=${token}`, ...(body ? { 'Content-Length': body.byteLength } : {}) };
    const asked = request({ host: '127.0.0.1', port, path, method, headers: all, agent: false }, async (answer) => {
      try {
        const content = Buffer.concat(await answer.toArray());
        resolve(new Response(content.length ? content : null, { status: answer.statusCode, headers: answer.headers }));
      } catch (error) {
        reject(error);
      }
    });
    asked.on('error', reject);
    asked.end(body && Buffer.from(body));
  });

let brokenOff = 0;
for (const sha256 of readdirSync(folder)) {
  const bytes = new Uint8Array(readFileSync(`${folder}/${sha256}`)).buffer;
  for (let arrived = false; !arrived; ) {
    try {
      await sendPieces(sha256, bytes, send);
      arrived = true;
    } catch (error) {
      if (verdictOf(error) !== 'not its fault') throw error;
      brokenOff += 1;
      await new Promise((resolve) => setTimeout(resolve, PAUSE_MS));
    }
  }
}
console.log(brokenOff);
