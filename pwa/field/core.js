/**
 * The core, asked from the page. It runs in a worker; recording never waits for it.
 *
 * @typedef {{error?: {message: string, field?: string, code?: 'superseded' | 'timeout' | 'crashed'}} & Record<string, any>} Answer
 *
 * @typedef {object} AskOptions
 * @property {number} [priority]  higher is asked first; 0 unless told
 * @property {string} [topic]  an ask still waiting with the same topic is superseded by this one
 */

/**
 * Ask the core (names and shapes: DEVELOPERS.md). Never rejects: trouble comes back as `error`; a superseded ask as
 * `error.code === 'superseded'`, which the caller passes over.
 * @param {string} name
 * @param {object} [args]
 * @param {AskOptions} [options]
 * @returns {Promise<Answer>}
 */
export async function ask(name, args, options) {
  throw new Error('to be built');
}

/** Start the runtime when the page has nothing better to do. */
export function startWhenIdle() {
  throw new Error('to be built');
}
