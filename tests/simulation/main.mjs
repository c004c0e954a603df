/**
 * Plays the runs that standard input asks for, many at a time, and prints what they ask of the shop.
 *
 *     node main.mjs FOLDER_OF_THE_RULES
 *
 * Standard input: one line `{"pictures": [base64]}`, then for each batch `{"seeds", "faults", "trace"}`, then the
 * answers to what was printed. Printed, one line at a time: `{"calls": [[seed, call], ...]}`, to be answered by the list
 * of answers; at the end of a batch `{"done": [[seed, [failures], [trace], {what happened: how often}], ...]}`.
 */
import { createInterface } from 'node:readline';
import { resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { World } from './world.mjs';

const folder = resolve(process.argv[2]);
const rules = {};
for (const name of ['exchange', 'numbering', 'pieces', 'shop']) {
  Object.assign(rules, await import(pathToFileURL(`${folder}/${name}.js`).href));
}
const lines = createInterface({ input: process.stdin })[Symbol.asyncIterator]();
const read = async () => {
  const { value, done } = await lines.next();
  return done ? null : JSON.parse(value);
};
const print = (content) => process.stdout.write(`${JSON.stringify(content)}\n`);

const { pictures } = await read();
const bytes = pictures.map((text) => Uint8Array.from(Buffer.from(text, 'base64')));
for (let asked = await read(); asked; asked = await read()) print({ done: await playAll(asked) });

/** The runs wait for each other's calls, so that the shop is asked for all of them at once. */
async function playAll({ seeds, faults, trace }) {
  let left = seeds.length;
  let calls = [];
  let wake = () => {};
  const done = [];
  for (const seed of seeds) {
    const told = [];
    const shop = async (call) => {
      const answer = await new Promise((heard) => {
        calls.push({ seed, call, heard });
        wake();
      });
      if (answer?.failed) throw new Error(`the shop failed: ${answer.failed}`);
      return answer;
    };
    const world = new World(seed, { rules, shop, pictures: bytes, faults, trace: (line) => trace && told.push(line) });
    const ends = (failures) => {
      done.push([seed, failures, told, Object.fromEntries(world.counts)]);
      left -= 1;
      wake();
    };
    world.play().then(ends, (error) => ends([`the simulation failed: ${error.stack}`]));
  }
  while (left) {
    while (calls.length < left) await new Promise((resolve) => (wake = resolve));
    if (!left) break;
    const asked = calls;
    calls = [];
    print({ calls: asked.map(({ seed, call }) => [seed, call]) });
    const answers = await read();
    asked.forEach(({ heard }, i) => heard(answers[i]));
  }
  return done;
}
