/** When the page has nothing better to do. */

/** @param {number} [longest]  ms after which it goes on all the same @returns {Promise<unknown>} */
export function freeTime(longest = 1000) {
  return new Promise((resolve) => {
    if ('requestIdleCallback' in window) requestIdleCallback(resolve, { timeout: longest });
    else setTimeout(resolve, 50);
  });
}
