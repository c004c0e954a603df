/** A file from the shop, opened to be printed or kept. */
import { send } from '../field/shop.js';

/**
 * @param {string} method
 * @param {string} path
 * @param {string} name  of the file, where the device keeps it
 * @param {object} [json]
 * @throws {import('../field/shop.js').ShopError}
 */
export async function openFile(method, path, name, json) {
  const response = await send(method, path, json ? { json } : {});
  const url = URL.createObjectURL(await response.blob());
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
