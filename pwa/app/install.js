/** Putting the application on the home screen, where the browser lets the page ask for it. */
import { signal } from '@preact/signals';

/** @typedef {Event & {prompt: () => Promise<unknown>}} Offer */

/** What the browser offers; null where it offers nothing or it was taken. @type {import('@preact/signals').Signal<Offer | null>} */
export const offer = signal(null);

/** Once for a page. */
export function followInstall() {
  addEventListener('beforeinstallprompt', (event) => {
    event.preventDefault(); // the page says when
    offer.value = /** @type {Offer} */ (event);
  });
  addEventListener('appinstalled', () => {
    offer.value = null;
  });
}

/** Let the browser ask. It does so once for an offer. */
export async function install() {
  const taken = offer.value;
  offer.value = null;
  await taken?.prompt();
}

/** On an iPhone or iPad the person does it by a menu; there alone the browser says whether it is done. */
export function byMenu() {
  return /** @type {{standalone?: boolean}} */ (navigator).standalone === false;
}
