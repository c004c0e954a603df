/** Chance that a seed repeats (sfc32, from "PractRand" by C. Doty-Humphrey; seeded by splitmix32). */
export class Chance {
  /** @param {number} seed */
  constructor(seed) {
    let mixed = seed >>> 0;
    const next = () => {
      mixed = (mixed + 0x9e3779b9) | 0;
      let t = mixed ^ (mixed >>> 16);
      t = Math.imul(t, 0x21f0aaad);
      t ^= t >>> 15;
      t = Math.imul(t, 0x735a2d97);
      return (t ^ (t >>> 15)) >>> 0;
    };
    [this.a, this.b, this.c, this.count] = [next(), next(), next(), 1];
    for (let i = 0; i < 12; i++) this.bits();
  }

  /** @returns {number} 32 random bits */
  bits() {
    const t = (this.a + this.b + this.count++) | 0;
    this.a = this.b ^ (this.b >>> 9);
    this.b = (this.c + (this.c << 3)) | 0;
    this.c = ((this.c << 21) | (this.c >>> 11)) + t;
    return t >>> 0;
  }

  /** @returns {number} a whole number from 0 to below `n` */
  below(n) {
    return Math.floor((this.bits() / 2 ** 32) * n);
  }

  /** @returns {number} a whole number, `from` and `to` included */
  between(from, to) {
    return from + this.below(to - from + 1);
  }

  /** @param {number} share  0 to 1 */
  happens(share) {
    return this.bits() / 2 ** 32 < share;
  }

  /** @template T @param {T[]} list @returns {T} one of them */
  of(list) {
    return list[this.below(list.length)];
  }

  /** @template T @param {[number, T][]} weighed @returns {T} one, by weight */
  weighed(weighed) {
    let at = (this.bits() / 2 ** 32) * weighed.reduce((sum, [weight]) => sum + weight, 0);
    for (const [weight, one] of weighed) {
      at -= weight;
      if (at < 0) return one;
    }
    return weighed[weighed.length - 1][1];
  }

  /** @param {number} now ms @returns {string} UUIDv7 */
  uuid(now) {
    const hex = now.toString(16).padStart(12, '0');
    const random = [0, 0, 0].map(() => this.bits().toString(16).padStart(8, '0')).join('');
    return `${hex.slice(0, 8)}-${hex.slice(8)}-7${random.slice(0, 3)}-8${random.slice(3, 6)}-${random.slice(6, 18)}`;
  }
}
