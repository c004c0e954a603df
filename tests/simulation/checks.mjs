/** What must hold at the end of a run. */
import { hashOf } from './device.mjs';
import { isBefore } from './world.mjs';

/**
 * @param {import('./world.mjs').World} world
 * @param {{accepted: any[], setAside: any[], photos: string[], wrong: string[], folds: string[]}} shop
 * @returns {string[]} what does not hold
 */
export function checked(world, shop) {
  const failures = [...shop.wrong];
  if (world.broken) failures.push(`the code failed: ${world.broken.stack}`);
  const must = (holds, what) => {
    if (!holds) failures.push(what);
  };
  const accepted = byId(shop.accepted);
  const aside = byId(shop.setAside);
  must(accepted.size === shop.accepted.length, 'an entry is in the log twice');

  for (const { name, disk, putBack, signedIn } of world.devices) {
    const here = [...disk.entries.values()];
    must(here.every(({ unsynced }) => !unsynced), `${name} still offers entries`);
    must(disk.uploads.size === 0, `${name} still offers photos`);
    must(sameIds(disk.entries.keys(), [...accepted.keys(), ...aside.keys()]), `${name} has other entries than the shop`);
    must(sameIds(disk.setaside.keys(), aside.keys()), `${name} shows others set aside than the shop`);
    for (const { entry } of here) {
      const there = accepted.get(entry.id) ?? aside.get(entry.id) ?? entry;
      must(world.rules.sameEntry(entry, there), `${name} has ${entry.id} otherwise than the shop`);
    }
    for (const [sha256, { bytes }] of disk.photos) must(hashOf(bytes) === sha256, `${name} has a damaged photo`);
    must(putBack || disk.settings.device === signedIn, `${name} took another id without need`);
  }

  for (const id of world.claimed) {
    const kept = accepted.get(id) ?? aside.get(id);
    must(kept || world.lost.has(id), `${id} was called safe and is gone`);
    if (kept && world.recorded.has(id)) must(world.rules.sameEntry(kept, world.recorded.get(id)), `${id} is not what was recorded`);
  }
  const named = new Set([...accepted.values(), ...aside.values()].flatMap((entry) => world.rules.photosNamed(entry)));
  for (const sha256 of world.claimedPhotos) {
    // A photo whose entry was destroyed is in no case any more, and stays on its phone until a person gives it one.
    const waits = !named.has(sha256) && world.devices.some(({ disk }) => disk.photos.has(sha256));
    must(shop.photos.includes(sha256) || world.lost.has(sha256) || waits, `photo ${sha256.slice(0, 8)} was called safe and is gone`);
  }

  failures.push(...counterFaults(world, [...accepted.values(), ...aside.values()]));
  for (let i = 0; i < shop.folds.length; i += 2) {
    must(shop.folds[i] === shop.folds[i + 1], 'two phones make different cases of the same log');
  }
  return [...new Set(failures)];
}

/** Every device's numbers are 1, 2, 3 ... once each, and its stamps follow them. */
function counterFaults(world, entries) {
  const failures = [];
  const devices = new Map();
  for (const entry of entries) devices.set(entry.device, [...(devices.get(entry.device) ?? []), entry]);
  const lost = [...world.lost].map((id) => world.recorded.get(id)).filter(Boolean);
  for (const [device, own] of devices) {
    const name = device.slice(0, 13);
    const taken = new Set(own.map(({ n }) => n));
    // A hole tells of entries that were destroyed, and then only when the shop has forgotten them.
    const destroyed = new Set(world.shopRestores ? lost.filter((entry) => entry.device === device).map(({ n }) => n) : []);
    for (let n = 1; n <= Math.max(...taken); n++) {
      if (!taken.has(n) && !destroyed.has(n)) failures.push(`${name} has no entry ${n} of ${Math.max(...taken)}`);
    }
    const owned = own.filter(({ id }) => !world.excused.has(id)).sort((a, b) => a.n - b.n);
    for (let i = 1; i < owned.length; i++) {
      if (owned[i].n === owned[i - 1].n) failures.push(`${name} has two entries ${owned[i].n}`);
    }
    if (!own.some(({ id }) => world.excused.has(id))) {
      for (let i = 1; i < owned.length; i++) {
        if (!isBefore(owned[i - 1].at, owned[i].at)) failures.push(`the stamps of ${name} run backwards at ${owned[i].n}`);
      }
    }
  }
  return failures;
}

function byId(entries) {
  return new Map(entries.map((entry) => [entry.id, entry]));
}

function sameIds(a, b) {
  return JSON.stringify([...a].sort()) === JSON.stringify([...b].sort());
}
