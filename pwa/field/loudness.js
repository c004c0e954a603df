/**
 * How loud it is, 250 times a second and nothing else: the sound itself never leaves this worklet. What is below 100 Hz
 * (wind, handling) is taken out first, since the firing shows in how the noise above it swells.
 */
const LEVELS_A_SECOND = 250;
const LOWEST_HZ = 100;
const AT_ONCE = 25; // levels in one message

class Loudness extends AudioWorkletProcessor {
  constructor() {
    super();
    this.block = Math.round(sampleRate / LEVELS_A_SECOND);
    this.keep = Math.exp((-2 * Math.PI * LOWEST_HZ) / sampleRate);
    this.low = 0;
    this.power = 0;
    this.count = 0;
    /** @type {number[]} */
    this.levels = [];
  }

  /** @param {Float32Array[][]} inputs */
  process([input]) {
    for (const value of input[0] ?? []) {
      this.low = this.keep * this.low + (1 - this.keep) * value;
      this.power += (value - this.low) ** 2;
      this.count += 1;
      if (this.count === this.block) this.level();
    }
    return true;
  }

  level() {
    this.levels.push(Math.sqrt(this.power / this.block));
    this.power = 0;
    this.count = 0;
    if (this.levels.length < AT_ONCE) return;
    this.port.postMessage({ levels: this.levels, rate: sampleRate / this.block });
    this.levels = [];
  }
}

registerProcessor('loudness', Loudness);
