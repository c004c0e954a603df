/** How much only this phone has, on the icon of the installed application; page and service worker both keep it true. */

/** @param {number} count  entries and photos that are not in the shop; at 0 there is no badge */
export function showBadge(count) {
  const shown = count ? navigator.setAppBadge?.(count) : navigator.clearAppBadge?.();
  shown?.catch(() => undefined); // not installed, or the person allows none
}
