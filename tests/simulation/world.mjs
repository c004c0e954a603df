/**
 * One run: phones, their people, the network and the shop, at random. A run is a sequence of single steps; everything
 * in it follows from its seed. When the steps are over the faults end, everybody exchanges until nothing changes any
 * more, and then what DEVELOPERS.md promises under "The sync protocol and its invariants" must hold.
 */
import { Chance } from './chance.mjs';
import { checked } from './checks.mjs';
import { Device } from './device.mjs';
import { draft } from './drafts.mjs';
import { Network } from './network.mjs';

const DAY_MS = 86_400_000;
const BEGIN_MS = 1_760_000_000_000;
const MOST_ROUNDS = 10;

/** Kinds of faults, and how often each event of a kind comes for ten taps. */
const FAULTS = [
  ['crashes', [0.5, 'crash']],
  ['lost phones', [0.4, 'wipe']],
  ['files', [0.6, 'backUpToFile'], [0.6, 'restoreFile']],
  ['phones put back', [0.8, 'copyPhone'], [0.9, 'putPhoneBack']],
  ['shop put back', [0.7, 'backUpShop'], [0.5, 'restoreShop']],
  ['clocks', [1, 'turnClock']],
  ['full phones', [0.4, 'letPhotosGo']],
  ['set aside', [1, 'offerAgain']],
  ['circles', [0.5, 'leadInCircles']],
];

export class World {
  /**
   * @param {number} seed
   * @param {object} given
   * @param {object} given.rules  the modules of `pwa/field`
   * @param {(call: object) => Promise<any>} given.shop
   * @param {Uint8Array[]} given.pictures
   * @param {string[] | null} given.faults  kinds of faults that there must be; null: any
   * @param {(line: string) => void} given.trace
   */
  constructor(seed, { rules, shop, pictures, faults, trace }) {
    Object.assign(this, { seed, rules, trace });
    this.chance = new Chance(seed);
    this.wanted = faults ?? [];
    this.weights = this.weightsOfRun();
    this.clock = BEGIN_MS;
    this.shopSkew = 0;
    this.call = (call) => shop({ ...call, now: this.clock + this.shopSkew });
    this.network = new Network(this);
    this.pictures = [...pictures];
    /** @type {Device[]} */
    this.devices = [];
    this.cases = [];
    this.files = []; // backups that people have put away
    this.copies = []; // whole phones as a backup of the machine holds them
    this.shopBackups = 0;
    this.shopRestores = 0;

    /** @type {Map<string, number>} what happened how often */
    this.counts = new Map();
    // What the screens have said, and what has become of it.
    this.recorded = new Map(); // id -> the entry as first recorded
    this.claimed = new Set(); // ids that a screen called "on this device" or "in the shop"
    this.claimedPhotos = new Set();
    this.lost = new Set(); // of entries and photos: those whose last holder was destroyed
    this.excused = new Set(); // ids that may have the number of another entry
    this.failures = [];
  }

  count(what) {
    this.counts.set(what, (this.counts.get(what) ?? 0) + 1);
  }

  // What phones ask the world

  uuid(device) {
    return this.chance.uuid(this.now(device));
  }

  now(device) {
    return this.clock + device.skew;
  }

  /** A hand made these on a phone. They follow everything that the phone has. */
  recordedOn(device, entries) {
    const before = [...device.disk.entries.values()].map(({ entry }) => entry);
    for (const entry of entries) {
      this.count(`recorded ${entry.kind}`);
      this.trace(`  ${entry.kind} ${entry.id} is ${entry.device}/${entry.n}`);
      this.recorded.set(entry.id, entry);
      if (device.putBack && entry.device === device.oldId) {
        if (device.hasMet) this.failures.push(`${device.name} goes on under an id that it knows has gone further`);
        else this.excused.add(entry.id);
      }
      for (const other of before) if (!isBefore(other.at, entry.at)) this.failures.push(`${entry.id} does not follow ${other.id}`);
      before.push(entry);
    }
  }

  /** These came to a phone by exchange or from a file. */
  arrivedOn(device, entries) {
    if (device.putBack && entries.some((entry) => entry.device === device.oldId)) device.hasMet = true;
  }

  onThisPhone(device, entries) {
    for (const entry of entries) {
      this.claimed.add(entry.id);
      this.lost.delete(entry.id);
      for (const sha256 of this.rules.photosNamed(entry)) {
        if (!device.disk.photos.has(sha256)) continue;
        this.claimedPhotos.add(sha256);
        this.lost.delete(sha256);
      }
    }
  }

  inTheShop(_device, entries) {
    for (const { id } of entries) this.claimed.add(id);
  }

  photoInTheShop(_device, sha256) {
    this.claimedPhotos.add(sha256);
  }

  // The run

  /** @returns {Promise<string[]>} what does not hold at the end */
  async play() {
    for (let i = this.chance.weighed([[3, 2], [3, 3], [1, 4]]); i > 0; i--) await this.addDevice();
    const steps = this.chance.between(15, 40);
    for (let i = 0; i < steps; i++) {
      this.clock += this.chance.weighed([[6, 500], [3, 60_000], [1, 2 * DAY_MS]]);
      await this.step();
    }
    let quiet = await this.comeToRest();
    const putBack = this.devices.filter((device) => device.putBack);
    for (const device of putBack) this.tap(device);
    if (putBack.length) quiet &&= await this.rest();
    const end = await this.call({ do: 'end', with: { logs: this.logs() } });
    if (!quiet) this.failures.push(`after ${MOST_ROUNDS} rounds of undisturbed exchanges something still changes`);
    return [...this.failures, ...checked(this, end)];
  }

  async addDevice() {
    const device = new Device(this.rules, this, `phone ${this.devices.length + 1}`);
    this.devices.push(device);
    await this.pair(device);
  }

  async pair(device) {
    Object.assign(device, { putBack: false, hasMet: false, oldId: null });
    await this.call({ do: 'pair', with: { device: device.signedIn } });
  }

  /** A run has few kinds of faults and those often: what needs three of a kind to show is then met soon. */
  weightsOfRun() {
    const weight = (kind) => (this.wanted.includes(kind) ? 5 : this.chance.of([0, 0, 1, 5]));
    return [
      [10, this.tap],
      [7, this.beginExchange],
      [18, this.deliver],
      [1, this.saveAgain],
      ...FAULTS.flatMap(([kind, ...events]) => {
        const of = weight(kind);
        return events.map(([usual, name]) => [usual * of, this[name]]);
      }),
    ];
  }

  async step() {
    const device = this.chance.of(this.devices);
    const event = this.chance.weighed(this.weights);
    this.count(event.name);
    this.trace(`${event.name} ${event === this.deliver ? '' : device.name}`);
    await event.call(this, device);
    await drained();
  }

  tap(device) {
    const drafts = [];
    for (let i = this.chance.weighed([[6, 1], [2, 2], [1, 3]]); i > 0; i--) {
      const isNew = !this.cases.length || (this.cases.length < 2 && this.chance.happens(0.05));
      if (isNew) this.cases.push(this.uuid(device));
      const caseId = isNew ? this.cases[this.cases.length - 1] : this.chance.of(this.cases);
      const entries = [...device.disk.entries.values()].map(({ entry }) => entry).filter((entry) => entry.case === caseId);
      const photo = this.pictures.length && this.chance.happens(0.1) ? device.photograph(this.pictures.pop()) : null;
      drafts.push({ case: caseId, by: device.name, ...draft(this.chance, { isNew, entries, now: device.now, photo }) });
    }
    device.record(drafts, this.chance.weighed([[18, 'saved'], [1, 'unheard'], [1, 'failed']]));
  }

  saveAgain(device) {
    device.saveAgain();
  }

  beginExchange(device) {
    if (!device.busy) void this.exchange(device);
  }

  /** A fault of the code in it is a failure of the run, not one that the network brings about. */
  exchange(device) {
    return device.exchange(this.network.sender(device)).catch((error) => {
      this.broken ??= error;
    });
  }

  async deliver() {
    if (this.network.messages.length) await this.network.step(true);
  }

  offerAgain(device) {
    if (device.disk.setaside.size) device.offerAgain(this.chance.of([...device.disk.setaside.keys()]));
  }

  /** For one exchange the shop leads in circles, as a server on a failing disk may: the phone must stop by itself (9). */
  async leadInCircles(device) {
    if (device.busy) return;
    this.network.circle = this.chance.of(['takes nothing', 'promises more', 'begins anew', 'photo stays']);
    await this.exchangeUndisturbed(device);
    this.network.circle = null;
  }

  crash(device) {
    device.crash();
  }

  /** The browser clears everything, or the phone falls into the canal; it is paired anew. */
  async wipe(device) {
    const before = device.disk;
    device.begin();
    await this.pair(device);
    await this.mourn(before);
  }

  backUpToFile(device) {
    this.files.push({ device, ...device.backup() });
  }

  restoreFile(device) {
    if (this.files.length) device.restore(this.chance.of(this.files));
  }

  copyPhone(device) {
    this.copies.push({ device, disk: device.disk.copy(), signedIn: device.signedIn });
  }

  /** The phone's whole store is put back as a backup of the machine had it. */
  async putPhoneBack() {
    const still = this.copies.filter(({ device, signedIn }) => device.signedIn === signedIn);
    if (!still.length) return;
    const { device, disk } = this.chance.of(still);
    const before = device.disk;
    device.crash();
    device.disk = disk.copy();
    Object.assign(device, { putBack: true, hasMet: false, oldId: disk.settings.device });
    for (const id of [...disk.entries.keys(), ...disk.photos.keys()]) this.lost.delete(id);
    await this.mourn(before);
    const own = this.files.filter((file) => file.device === device);
    if (own.length && this.chance.happens(0.5)) device.restore(this.chance.of(own));
  }

  async backUpShop() {
    await this.call({ do: 'back_up' });
    this.shopBackups += 1;
  }

  async restoreShop() {
    if (!this.shopBackups) return;
    const told = this.chance.happens(0.5);
    const files = this.chance.of(told ? ['copy', 'keep', 'lost'] : ['copy', 'keep']);
    const latest = this.shopBackups - 1;
    await this.putShopBack({ backup: this.chance.happens(0.5) ? latest : this.chance.between(0, latest), told, files });
  }

  async putShopBack(how) {
    const before = await this.call({ do: 'holds' });
    this.trace(`  ${JSON.stringify(how)}`);
    await this.call({ do: 'restore', with: how });
    this.shopRestores += 1;
    this.network.forgetOldAnswers();
    await this.mourn(null, [...before.entries, ...before.photos]);
  }

  turnClock(device) {
    const skew = this.chance.between(-10 * DAY_MS, 10 * DAY_MS);
    if (this.chance.happens(0.6)) device.skew = skew;
    else this.shopSkew = skew;
  }

  async letPhotosGo(device) {
    const gone = device.letGo();
    if (gone.length) await this.mourn(null, gone);
  }

  /**
   * A store is gone. What nobody else holds is lost, and may be.
   * @param {import('./device.mjs').Device['disk'] | null} disk
   * @param {string[]} more
   */
  async mourn(disk, more = []) {
    const shop = await this.call({ do: 'holds' });
    const held = new Set([...shop.entries, ...shop.photos]);
    for (const one of this.devices) for (const id of [...one.disk.entries.keys(), ...one.disk.photos.keys()]) held.add(id);
    for (const file of this.files) {
      for (const { id } of file.entries) held.add(id);
      for (const [sha256] of file.photos) held.add(sha256);
    }
    for (const id of [...(disk ? [...disk.entries.keys(), ...disk.photos.keys()] : []), ...more]) {
      if (held.has(id)) continue;
      this.lost.add(id);
      this.trace(`  ${id.slice(0, 36)} is lost`);
    }
  }

  // The end

  /** @returns {Promise<boolean>} whether nothing changed any more at last */
  async comeToRest() {
    this.network.messages = this.network.messages.filter((message) => message.wait || this.chance.happens(0.5));
    while (this.network.messages.length) await this.undisturbed();
    for (const file of this.files) this.chance.of(this.devices).restore(file);
    let quiet = await this.rest();
    if (this.chance.happens(0.5)) quiet &&= await this.offerAllAgain();
    if (this.chance.happens(this.wanted.includes('shop put back') ? 0.7 : 0.15)) quiet &&= await this.moveShop();
    return quiet;
  }

  /** What was set aside for its date is right in time. */
  async offerAllAgain() {
    this.clock += 30 * DAY_MS;
    const apart = [...this.devices[0].disk.setaside.keys()];
    for (const id of apart) this.chance.of(this.devices).offerAgain(id);
    return apart.length ? this.rest() : true;
  }

  /** The shop's database goes to another machine, whose clock is wrong, and the photos are forgotten. */
  async moveShop() {
    this.shopSkew = -60 * DAY_MS;
    await this.backUpShop();
    await this.putShopBack({ backup: this.shopBackups - 1, told: true, files: 'lost' });
    return this.rest();
  }

  /** @returns {Promise<boolean>} */
  async rest() {
    for (const device of this.devices) device.saveAgain();
    // Who has heard of everything that the shop has need not ask again; one of them asks at the end, to be sure.
    for (let round = 0; round < MOST_ROUNDS; round++) {
      const before = this.latest;
      const behind = this.devices.filter((device) => device.place.epoch === null || this.standing(device) !== this.latest);
      for (const device of behind.length ? behind : [this.chance.of(this.devices)]) await this.exchangeUndisturbed(device);
      if (!behind.length && this.latest === before) return true;
    }
    return false;
  }

  async exchangeUndisturbed(device) {
    const done = this.exchange(device);
    while (device.busy) await this.undisturbed();
    await done;
    this.latest = this.standing(device);
  }

  standing({ place, disk }) {
    const unsynced = [...disk.entries.values()].filter((row) => row.unsynced).length;
    return JSON.stringify([place.epoch, place.head, unsynced, disk.uploads.size, disk.entries.size, disk.setaside.size]);
  }

  async undisturbed() {
    if (this.network.messages.length) await this.network.step(false);
    await drained();
  }

  /** What two phones have of each case, in the order in which it came to them, for the core to fold. */
  logs() {
    const two = [this.devices[0], this.chance.of(this.devices.slice(1))];
    const logOf = ({ disk }, caseId) => [...disk.entries.values()].map(({ entry }) => entry).filter((entry) => entry.case === caseId);
    return this.cases.flatMap((caseId) => two.map((device) => logOf(device, caseId)));
  }
}

/** @param {[number, number]} a @param {[number, number]} b */
export function isBefore(a, b) {
  return a[0] < b[0] || (a[0] === b[0] && a[1] < b[1]);
}

/** Whatever can go on without the network has gone on. */
function drained() {
  return new Promise((resolve) => setImmediate(resolve));
}
