/** When a page exchanges with the shop of itself. */

/**
 * Start it, once for a page: at once, when the connection returns, when the page becomes visible, after each
 * record, and again after a failure, later each time.
 * @returns {() => void} ends it
 */
export function startSync() {
  throw new Error('to be built');
}
