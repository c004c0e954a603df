/**
 * What lies behind the screen, so that the back gesture leads where a person expects. Each entry of the browser's history
 * holds the hashes of the entries behind it (`behind`); an open sheet is an entry of its own (`sheet`), which the gesture
 * closes.
 *
 * @typedef {{behind: string[], sheet?: boolean}} Entry
 */

/** The entry that is shown. */
let shown = { hash: '', behind: /** @type {string[]} */ ([]) };

/** @returns {Entry | null} what this page noted in the browser's entry, if it did */
function noted() {
  return Array.isArray(history.state?.behind) ? history.state : null;
}

/**
 * A screen stands: note what lies behind it. Behind the first of a page lies nothing, so `parents` are put there.
 * @param {string[]} parents
 */
export function arrive(parents) {
  const known = noted();
  if (known) shown = { hash: location.hash, behind: known.behind };
  else if (shown.hash) standAt(location.hash, [...shown.behind, shown.hash]);
  else beginAt([...parents, location.hash || '#/']);
}

/** The last of the hashes is shown, the others lie behind it. @param {string[]} hashes */
function beginAt([first, ...others]) {
  standAt(first, []);
  for (const hash of others) push(hash);
}

/** In the place of the entry that is shown. @param {string} hash @param {string[]} behind */
function standAt(hash, behind) {
  history.replaceState({ behind }, '', hash);
  shown = { hash, behind };
}

/** On top of the entry that is shown. @param {string} hash @param {{sheet?: boolean}} [what] */
function push(hash, what) {
  const behind = [...shown.behind, shown.hash];
  history.pushState({ behind, ...what }, '', hash);
  shown = { hash, behind };
}

/** Another screen in the place of the one that is shown. @param {string} hash */
export function standIn(hash) {
  standAt(hash, shown.behind);
}

/** Which of these screens lies nearest behind this one; the first where none does. @param {string[]} hashes */
export function nearestBehind(hashes) {
  const depths = hashes.map((hash) => shown.behind.lastIndexOf(hash));
  return hashes[depths.indexOf(Math.max(...depths))];
}

/** The screen that one came from. @param {string} otherwise  where none lies behind */
export function cameFrom(otherwise) {
  return shown.behind.at(-1) ?? otherwise;
}

/** Go back to a screen where it lies behind this one. @param {string} hash @returns {boolean} whether it does */
export function backTo(hash) {
  let at = shown.behind.lastIndexOf(hash);
  if (at < 0) return false;
  while (shown.behind[at - 1] === hash) at -= 1; // past what was its sheet
  history.go(at - shown.behind.length);
  return true;
}

/**
 * An open sheet is closed by the back gesture before the screen is left.
 * @param {() => void} close
 * @returns {() => void} to be called when the sheet has gone, for whatever reason
 */
export function sheetOpen(close) {
  push(shown.hash, { sheet: true });
  const onPop = () => {
    if (!noted()?.sheet) close();
  };
  addEventListener('popstate', onPop);
  return () => {
    removeEventListener('popstate', onPop);
    if (noted()?.sheet) history.back();
  };
}

addEventListener('popstate', () => {
  const entry = noted();
  if (entry) shown = { hash: location.hash, behind: entry.behind };
  // A sheet that led to another screen is passed over on the way back.
  if (entry?.sheet && !document.querySelector('dialog:is(.sheet, .picture-screen, .camera)[open]')) history.back();
});
