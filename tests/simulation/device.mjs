/**
 * A phone of a simulation. Every decision is taken by the modules of `pwa/field` (`rules`); here is only what IndexedDB,
 * the camera and the hand do. `disk` is what a crash leaves; a change of it is whole or not there.
 */
import { createHash } from 'node:crypto';

// Small, so that few and short entries and photos take several requests.
const BATCH_BYTES = 900;
const PIECE_BYTES = 150;
const MOST_REQUESTS = 200; // of one exchange; the longest of three hundred runs took 20

/** What one phone has on its disk. */
class Disk {
  constructor() {
    /** @type {Map<string, {entry: any, unsynced?: 1}>} */
    this.entries = new Map();
    this.setaside = new Map();
    /** @type {Map<string, {bytes: Uint8Array, state: 'here' | 'shop'}>} */
    this.photos = new Map();
    this.uploads = new Map();
    this.settings = {};
  }

  copy() {
    const copy = new Disk();
    for (const store of ['entries', 'setaside', 'photos', 'uploads']) copy[store] = new Map(this[store]);
    copy.settings = { ...this.settings };
    return copy;
  }
}

export class Device {
  /**
   * @param {object} rules  the modules of `pwa/field`
   * @param {object} world  `uuid(device)`, `now(device)`, and what it is told of: `recordedOn`,
   *   `arrivedOn`, and what the screen says: `onThisPhone`, `inTheShop`, `photoInTheShop`
   * @param {string} name  for the trace
   */
  constructor(rules, world, name) {
    Object.assign(this, { rules, world, name });
    this.skew = 0;
    this.begin();
  }

  /** Start with nothing, as after the browser has cleared everything. */
  begin() {
    this.disk = new Disk();
    this.disk.settings.device = this.world.uuid(this);
    this.signedIn = this.disk.settings.device; // what the shop knows this phone by, whatever id it takes later
    this.crash();
  }

  /** What was in memory is gone, and with it every exchange that was under way. */
  crash() {
    this.unsaved = [];
    this.busy = false;
    this.life = {};
  }

  get now() {
    return this.world.now(this);
  }

  // Recording

  /**
   * @param {object[]} drafts
   * @param {'saved' | 'unheard' | 'failed'} write  how it goes with the disk: `unheard`: it is written, but the
   *   connection to the database is lost before it says so
   */
  record(drafts, write) {
    const entries = drafts.map(({ case: caseId, kind, body, when = null, by }) => {
      return { id: this.world.uuid(this), case: caseId, kind, at: [0, 0], when, device: '', n: 0, by, body };
    });
    if (write === 'failed') return void this.unsaved.push(...entries);
    if (write === 'unheard') this.append(entries);
    this.append(entries);
  }

  saveAgain() {
    this.append(this.unsaved.splice(0));
  }

  append(entries) {
    const { entries: rows, settings } = this.disk;
    const held = new Map(entries.flatMap(({ id }) => (rows.has(id) ? [[id, rows.get(id).entry]] : [])));
    const last = Math.max(0, ...[...rows.values()].filter(({ entry }) => entry.device === settings.device).map(({ entry }) => entry.n));
    const { device, clock = [0, 0] } = settings;
    const { saved, added, clock: after } = this.rules.numbered(entries, { held, device, last, clock, now: this.now });
    this.world.recordedOn(this, added);
    for (const entry of added) this.add(entry);
    settings.clock = after;
    this.world.onThisPhone(this, saved);
  }

  add(entry) {
    this.disk.entries.set(entry.id, { entry, unsynced: 1 });
    for (const sha256 of this.rules.photosNamed(entry)) {
      if (this.disk.photos.get(sha256)?.state === 'here') this.queue(sha256);
    }
  }

  /** @returns {string} hash of a picture that the camera just took */
  photograph(bytes) {
    const sha256 = hashOf(bytes);
    if (!this.disk.photos.has(sha256)) this.disk.photos.set(sha256, { bytes, state: 'here' });
    return sha256;
  }

  /** Let go of photos that the shop has. @returns {string[]} which */
  letGo() {
    const gone = [...this.disk.photos].filter(([sha256, { state }]) => state === 'shop' && !this.disk.uploads.has(sha256));
    for (const [sha256] of gone) this.disk.photos.delete(sha256);
    return gone.map(([sha256]) => sha256);
  }

  // Backup and restore by file

  backup() {
    const entries = [...this.disk.entries.values()].filter(({ unsynced }) => unsynced).map(({ entry }) => entry);
    const photos = [...this.disk.uploads.keys()].filter((sha256) => this.disk.photos.has(sha256));
    return { entries, photos: photos.map((sha256) => [sha256, this.disk.photos.get(sha256).bytes]) };
  }

  restore({ entries, photos }) {
    for (const [sha256, bytes] of photos) {
      if (this.disk.photos.has(sha256)) continue;
      this.disk.photos.set(sha256, { bytes, state: 'here' });
      this.queue(sha256);
    }
    const { entries: rows, settings } = this.disk;
    const { device, clock = [0, 0] } = settings;
    const taken = this.rules.takenBack(entries, { held: new Set(rows.keys()), device, clock, now: this.now });
    for (const entry of taken.added) this.add(entry);
    settings.clock = taken.clock;
    this.world.arrivedOn(this, taken.added);
    if (taken.anotherDevice) settings.device = this.world.uuid(this);
    this.world.onThisPhone(this, taken.added);
  }

  // The exchange

  /**
   * Exchange until it is done, fails, or the phone crashes. Never throws what the network brings about.
   * @param {(method: string, path: string, content: any) => Promise<any>} send
   */
  async exchange(send) {
    const { life } = this;
    let requests = 0;
    const alive = async (method, path, content) => {
      if (++requests > MOST_REQUESTS) {
        this.world.failures.push(`${this.name} exchanges without end`);
        throw new Dead();
      }
      const answer = await send(method, path, content);
      if (life !== this.life) throw new Dead();
      return answer;
    };
    this.busy = true;
    try {
      await this.rules.exchangeAll({
        next: async () => this.nextRequest(),
        send: (request) => alive('POST', '/api/sync', request),
        keep: async (asked, answer) => this.keep(asked, answer),
        anyLeft: async () => [...this.disk.entries.values()].some(({ unsynced }) => unsynced),
      });
      const waiting = [...this.disk.uploads].sort(([, a], [, b]) => a.since - b.since);
      for (const [sha256, { trouble }] of waiting) if (!trouble) await this.upload(sha256, alive);
    } catch (error) {
      if (!(error instanceof Dead) && !(error instanceof this.rules.ShopError)) throw error;
    } finally {
      if (life === this.life) this.busy = false;
    }
  }

  nextRequest() {
    const { entries, settings } = this.disk;
    const all = [...entries.values()].map(({ entry }) => entry);
    all.sort((a, b) => (a.device < b.device ? -1 : a.device > b.device ? 1 : a.n - b.n));
    const waiting = [...entries.keys()].filter((id) => entries.get(id).unsynced).sort();
    const batch = this.rules.newBatch(BATCH_BYTES);
    for (const id of this.rules.inOrder(all.map(({ id }) => id), waiting)) {
      if (!batch.takes(entries.get(id).entry)) break;
    }
    const counts = { entries: waiting.length, photos: this.disk.uploads.size, since_ms: null };
    return { asked: this.place, batch: batch.entries, rest: { device: settings.device, unsynced: counts } };
  }

  get place() {
    const { epoch, cursor, head } = { ...this.rules.NOWHERE, ...this.disk.settings };
    return { epoch, cursor, head };
  }

  keep(asked, answer) {
    const { disk } = this;
    const rows = new Map([...this.rules.idsIn(answer)].flatMap((id) => (disk.entries.has(id) ? [[id, disk.entries.get(id)]] : [])));
    const { device, clock = [0, 0] } = disk.settings;
    const changes = this.rules.changesBy(answer, { asked, place: this.place, device, clock, now: this.now, rows });
    if (!changes) return;
    if (changes.offerAll) this.offerEverything();
    for (const what of ['offerAll', 'anotherDevice']) if (changes[what]) this.world.count(what);
    for (const what of ['settled', 'aside', 'rows']) if (changes[what].length) this.world.count(what);
    this.world.arrivedOn(this, changes.rows.map(({ entry }) => entry).filter(({ id }) => !disk.entries.has(id)));
    for (const row of changes.rows) disk.entries.set(row.entry.id, row);
    for (const id of changes.settled) disk.setaside.delete(id);
    for (const one of changes.aside) disk.setaside.set(one.id, one);
    for (const sha256 of changes.photos) if (disk.photos.has(sha256)) this.queue(sha256);
    Object.assign(disk.settings, changes.place, { clock: changes.clock });
    if (changes.anotherDevice) disk.settings.device = this.world.uuid(this);
    this.world.inTheShop(this, changes.rows.filter(({ unsynced }) => !unsynced).map(({ entry }) => entry));
  }

  offerEverything() {
    for (const [id, { entry }] of this.disk.entries) {
      this.disk.entries.set(id, { entry, unsynced: 1 });
      for (const sha256 of this.rules.photosNamed(entry)) if (this.disk.photos.has(sha256)) this.queue(sha256);
    }
  }

  offerAgain(id) {
    this.disk.entries.set(id, { ...this.disk.entries.get(id), unsynced: 1 });
    this.disk.setaside.delete(id);
  }

  queue(sha256) {
    if (!this.disk.uploads.has(sha256)) this.disk.uploads.set(sha256, { since: this.now });
  }

  async upload(sha256, send) {
    const photo = this.disk.photos.get(sha256);
    try {
      await this.rules.sendPieces(sha256, photo.bytes.buffer, send, PIECE_BYTES);
    } catch (error) {
      if (error instanceof Dead || this.rules.verdictOf(error) === 'not its fault') throw error;
      if (this.rules.verdictOf(error) === 'never again') this.disk.uploads.set(sha256, { trouble: true });
      return;
    }
    this.disk.photos.set(sha256, { ...photo, state: 'shop' });
    this.disk.uploads.delete(sha256);
    this.world.photoInTheShop(this, sha256);
  }
}

/** What an exchange meets that was under way when its phone crashed. */
class Dead extends Error {}

/** @param {Uint8Array} bytes */
export function hashOf(bytes) {
  return createHash('sha256').update(bytes).digest('hex');
}
