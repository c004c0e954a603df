/** What a scanned square is: a tag of this shop, of another shop, or none. */
import { ask } from '../field/core.js';
import { findTag } from './find-tag.js';
import { person } from './person.js';
import { phrase } from './tongue.js';

const ADDRESS = /^https?:\/\/([^/\s]+)\/t\/[^/\s]+/i;
const BARE = /^[0-9a-z][0-9a-z -]{8,14}$/i; // a code alone, as printed or without its dashes

/**
 * @param {string} text  what the square holds
 * @returns {Promise<{code: string} | {message: string}>}
 */
export async function scannedTag(text) {
  const host = ADDRESS.exec(text)?.[1];
  if (!host && !BARE.test(text.trim())) {
    return { message: phrase('This square is no tag. Hold the square of a tag before the camera.') };
  }
  const checked = await ask('check_tag', { text }, { priority: 3 });
  if (checked.error) return { message: checked.error.message };
  if (!checked.code) return { message: phrase('The code in this square does not add up: it is no tag, or misprinted.') };
  if (!host || isOurs(host) || 'case' in (await findTag(checked.code))) return { code: checked.code };
  return {
    message: phrase(
      'This tag belongs to another shop, at {host}. If it is yours from before the address changed, type its code.',
      { host: host.toLowerCase() },
    ),
  };
}

/** @param {string} host */
function isOurs(host) {
  const address = person.value?.shop.public_url ?? location.origin;
  return [new URL(address).host, location.host].includes(host.toLowerCase());
}
