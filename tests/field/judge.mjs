// Reads pictures from standard input (width, height as 32-bit numbers, then RGBA) and prints the phone's doubt about each.
import { readSync } from 'node:fs';
import { doubtIn } from '../../pwa/field/sharpness.js';

function take(bytes) {
  const taken = Buffer.alloc(bytes);
  for (let at = 0; at < bytes; ) {
    const got = readSync(0, taken, at, bytes - at, null);
    if (!got) return null;
    at += got;
  }
  return taken;
}

for (let head = take(8); head; head = take(8)) {
  const [width, height] = [head.readUInt32LE(0), head.readUInt32LE(4)];
  console.log((await doubtIn({ data: take(4 * width * height), width, height })) || 'none');
}
