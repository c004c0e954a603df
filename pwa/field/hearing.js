/**
 * The microphone as a measure of loudness, 250 times a second. No sound is kept and none leaves the audio thread; what
 * the platform does to make speech pleasant is switched off.
 *
 * @typedef {{start: number, rate: number, level: number[]}} Sound  start: ms on the page's clock
 * @typedef {import('./motion.js').Trouble} Trouble
 */
const WANTED = { audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 } };
const REFUSALS = ['NotAllowedError', 'SecurityError'];

/**
 * Open the microphone. Within a tap.
 * @returns {Promise<Ear | Trouble>}
 */
export async function openEar() {
  if (!navigator.mediaDevices?.getUserMedia || !('AudioWorkletNode' in window)) return { trouble: 'missing' };
  const context = new AudioContext(); // now, since a browser lets it run only where it was made in a tap
  /** @type {MediaStream | undefined} */
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia(WANTED);
    void context.resume();
    await context.audioWorklet.addModule('/field/loudness.js');
    return new Ear(stream, context);
  } catch (trouble) {
    stopAll(stream);
    void context.close().catch(() => undefined);
    const name = trouble instanceof Error ? trouble.name : '';
    return { trouble: REFUSALS.includes(name) ? 'refused' : 'missing' };
  }
}

/** A microphone that is open until `close`. */
export class Ear {
  /** @param {MediaStream} stream @param {AudioContext} context */
  constructor(stream, context) {
    this.stream = stream;
    this.context = context;
    this.node = new AudioWorkletNode(context, 'loudness');
    context.createMediaStreamSource(stream).connect(this.node);
    this.node.connect(context.destination); // it puts out silence; some browsers run only what leads somewhere
  }

  /**
   * Keep how loud it is until the returned function is called, which gives it.
   * @returns {() => Sound | Trouble}
   */
  listen() {
    /** @type {Sound} */
    const sound = { start: 0, rate: 0, level: [] };
    this.node.port.onmessage = ({ data }) => {
      if (!sound.level.length) sound.start = performance.now() - (1000 * data.levels.length) / data.rate;
      sound.rate = data.rate;
      sound.level.push(...data.levels);
    };
    return () => {
      this.node.port.onmessage = null;
      return sound.level.length ? sound : { trouble: 'missing' };
    };
  }

  get open() {
    return this.stream.getTracks().every((track) => track.readyState === 'live');
  }

  close() {
    stopAll(this.stream);
    void this.context.close().catch(() => undefined);
  }
}

/** @param {MediaStream | undefined} stream */
function stopAll(stream) {
  for (const track of stream?.getTracks() ?? []) track.stop();
}
