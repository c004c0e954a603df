/** Brings what is spoken of between the head of a screen and the keys at its bottom. */

const ROOM = 8; // px

/** @param {Element | null | undefined} what  its top wins where it is higher than the room there is */
export function bringInSight(what) {
  if (!what) return;
  const screen = what.closest('.screen');
  const keys = screen?.querySelector('.screen-keys')?.getBoundingClientRect();
  const head = screen?.querySelector('.screen-head')?.getBoundingClientRect();
  const { top, bottom, right } = what.getBoundingClientRect();
  const beside = keys && keys.left >= right - 1; // on a phone on its side
  const floor = (keys && !beside ? Math.min(keys.top, innerHeight) : innerHeight) - ROOM;
  const ceiling = Math.max(head?.bottom ?? 0, 0) + ROOM;
  if (bottom > floor) scrollBy(0, Math.min(bottom - floor, top - ceiling));
  else if (top < ceiling) scrollBy(0, top - ceiling);
}
