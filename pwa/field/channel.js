/** News between the tabs, the worker and the modules of one phone. */

const channel = new BroadcastChannel('coiltrail');

/** @type {Map<string, Set<(detail: any) => void>>} */
const listeners = new Map();

channel.addEventListener('message', ({ data }) => tell(data.topic, data.detail));

/**
 * @param {string} topic
 * @param {any} [detail]  what structured clone takes
 */
export function announce(topic, detail) {
  channel.postMessage({ topic, detail });
  tell(topic, detail);
}

/**
 * @param {string} topic
 * @param {(detail: any) => void} listener
 * @returns {() => void} ends it
 */
export function hear(topic, listener) {
  const ofTopic = listeners.get(topic) ?? new Set();
  listeners.set(topic, ofTopic.add(listener));
  return () => ofTopic.delete(listener);
}

/**
 * A listener that fails must not undo what it hears of.
 * @param {string} topic
 * @param {any} detail
 */
function tell(topic, detail) {
  for (const listener of [...(listeners.get(topic) ?? [])]) {
    try {
      listener(detail);
    } catch (error) {
      reportError(error);
    }
  }
}
