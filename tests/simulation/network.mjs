const FATES = [[14, 'arrives'], [2, 'lost'], [2, 'twice'], [2, 'late']];

/**
 * The network between the phones and the shop: messages are lost, delayed, delivered twice, late and in any order. What
 * a phone waits for and what the network does are two things: a phone may give up while its request is still under way.
 *
 * A message is `{device, call, asked, disk, answer, wait, once}`: `asked` and `disk` say where the phone stood that
 * asked, `answer` is there once the shop has given it, `wait` while the phone waits for it, `once` when it cannot come late.
 */
export class Network {
  /** @param {import('./world.mjs').World} world */
  constructor(world) {
    this.world = world;
    this.messages = [];
    /** @type {'takes nothing' | 'promises more' | 'begins anew' | 'photo stays' | null} how the shop leads in circles */
    this.circle = null;
  }

  /** @returns {(method: string, path: string, content: any) => Promise<any>} what a phone sends with */
  sender(device) {
    return (method, path, content) =>
      new Promise((resolve, reject) => {
        const call = callOf(device, method, path, content);
        const asked = method === 'POST' && { epoch: content.epoch, cursor: content.cursor, head: content.head };
        this.messages.push({ device, call, asked, disk: device.disk, wait: { resolve, reject } });
      });
  }

  /**
   * The shop was put back to an older state. An answer that it gave before still reaches the phone that waits for it,
   * but not minutes later, and not twice.
   */
  forgetOldAnswers() {
    this.messages = this.messages.filter(({ answer, wait }) => !answer || wait);
    for (const message of this.messages) message.once = Boolean(message.answer);
  }

  /** Something happens to one message. @param {boolean} faults */
  async step(faults) {
    const at = this.world.chance.below(this.messages.length);
    const [message] = this.messages.splice(at, 1);
    if (message.answer) this.bring(message, faults);
    else await this.take(message, faults);
  }

  async take(message, faults) {
    const fate = this.fate('request', message, faults);
    if (fate === 'lost') return this.fail(message);
    if (fate === 'late') return this.delay(message);
    if (fate === 'twice') this.messages.push({ ...message, wait: null });
    const crash = faults && this.world.chance.happens(0.12) ? this.world.chance.between(1, 6) : null;
    const answer = this.inCircles(message, await this.world.call({ ...message.call, crash }));
    this.world.count(answer.crashed ? 'shop crashed' : `${message.call.do} answered`);
    if (answer.crashed) this.fail(message);
    else if (message.wait || (message.asked && this.world.chance.happens(0.3))) this.messages.push({ ...message, answer });
  }

  /** The shop's answer, by which the phone comes no further. */
  inCircles({ call, asked }, answer) {
    if (!this.circle || answer.crashed) return answer;
    if (call.do === 'photo') {
      return this.circle === 'photo stays' ? { status: 204, headers: { 'Upload-Offset': '0', 'Upload-Complete': '?0' } } : answer;
    }
    const none = { entries: [], apart: [], blanked: [], cursor: asked.cursor };
    if (this.circle === 'takes nothing') return { ...answer, accepted: [], set_aside: [] };
    if (this.circle === 'promises more') return { ...answer, ...none, more: true };
    if (this.circle === 'begins anew') return { ...answer, epoch: this.world.chance.uuid(this.world.clock) };
    return answer;
  }

  bring(message, faults) {
    const fate = this.fate('answer', message, faults);
    if (fate === 'lost' || (fate === 'late' && message.once)) return this.fail(message);
    if (fate === 'late') return this.delay(message);
    if (fate === 'twice' && message.asked && !message.once) this.messages.push({ ...message, wait: null });
    const { device, answer, asked, wait } = message;
    if (wait) this.reply(message);
    else if (asked && device.disk === message.disk) {
      this.world.count('answer kept late or twice');
      device.keep(asked, answer);
    }
  }

  fate(what, { device, call, answer }, faults) {
    const fate = faults ? this.world.chance.weighed(FATES) : 'arrives';
    this.world.count(`${what} ${fate}`);
    this.world.trace(`  ${what} of ${device.name} ${fate}: ${JSON.stringify(answer ?? call, briefly)}`);
    return fate;
  }

  reply({ answer, call, wait }) {
    if (call.do === 'sync') return wait.resolve(answer);
    const headers = new Headers(answer.headers ?? {});
    if (answer.status < 300) return wait.resolve({ headers });
    wait.reject(new this.world.rules.ShopError(answer.code, 'refused', { status: answer.status, headers }));
  }

  /** The phone hears nothing. */
  fail({ wait }) {
    wait?.reject(new this.world.rules.ShopError('no_connection', 'No connection to the shop.'));
  }

  /** The phone gives up, and what is under way arrives later. */
  delay(message) {
    this.fail(message);
    this.messages.push({ ...message, wait: null });
  }
}

/** Entries by device and number, long texts by their beginning. */
function briefly(_key, value) {
  if (value?.device && value.n) return `${value.device.slice(0, 13)}/${value.n}`;
  return typeof value === 'string' ? value.slice(0, 13) : value;
}

function callOf(device, method, path, content) {
  if (method === 'POST') return { do: 'sync', with: { signed_in: device.signedIn, request: content } };
  const sha256 = path.split('/').pop();
  if (method === 'HEAD') return { do: 'photo', with: { method, sha256 } };
  const [offset, size] = ['Upload-Offset', 'Upload-Length'].map((name) => Number(content.headers[name]));
  return { do: 'photo', with: { method, sha256, offset, size, piece: Buffer.from(content.bytes).toString('base64') } };
}
