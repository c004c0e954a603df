/** One request to the shop, and the telling apart of its answers from those of anything else in between. */

import { language } from './tongue.js';
import { phrase } from './tongue.js';

/**
 * The shop refused (its own code), cannot be reached ("no_connection"), or is in trouble ("shop_trouble").
 */
export class ShopError extends Error {
  /**
   * @param {string} code
   * @param {string} message
   * @param {{field?: string, status?: number, headers?: Headers}} [more]
   */
  constructor(code, message, { field, status = 0, headers = new Headers() } = {}) {
    super(message);
    this.name = 'ShopError';
    this.code = code;
    this.field = field;
    this.status = status;
    this.headers = headers;
  }
}

const TIMEOUT_MS = 45_000; // 64 KB at 12 kbit/s, as at the edge of a cell (estimate, from memory)

const PROBE_MS = 5_000; // whoever answers a few bytes later than this cannot be worked with anyway

/** Whether the shop answers now: a few bytes, without waiting long. @returns {Promise<boolean>} */
export async function answers() {
  try {
    const response = await fetch('/api/state', { cache: 'no-store', redirect: 'error', signal: AbortSignal.timeout(PROBE_MS) });
    return response.ok && isJson(response);
  } catch {
    return false;
  }
}

/**
 * @typedef {object} Request
 * @property {object} [json]
 * @property {BodyInit} [bytes]
 * @property {Record<string, string>} [headers]
 *
 * @param {string} method
 * @param {string} path
 * @param {Request} [request]
 * @returns {Promise<Response>} whole, its status one of success
 * @throws {ShopError}
 */
export async function send(method, path, { json, bytes, headers = {} } = {}) {
  const body = json ? JSON.stringify(json) : bytes;
  const type = json ? 'application/json' : 'application/octet-stream';
  let response, content;
  try {
    response = await fetch(path, {
      method,
      body,
      headers: { 'X-Coiltrail': '1', 'Accept-Language': language(), ...(body ? { 'Content-Type': type } : {}), ...headers },
      credentials: 'same-origin',
      cache: 'no-store',
      redirect: 'error', // the shop never redirects its API; a captive portal does
      signal: AbortSignal.timeout(TIMEOUT_MS),
    });
    content = await response.arrayBuffer();
  } catch {
    throw new ShopError('no_connection', phrase('No connection to the shop.'));
  }
  if (response.ok) return new Response(response.status === 204 ? null : content, response);
  throw refusal(response, content);
}

/**
 * @param {string} method
 * @param {string} path
 * @param {Request} [request]
 * @returns {Promise<any>} the object that the shop answered
 * @throws {ShopError}
 */
export async function sendForJson(method, path, request) {
  const response = await send(method, path, request);
  const answer = isJson(response) ? await response.json().catch(() => null) : null;
  if (answer === null || typeof answer !== 'object') throw somethingElse();
  return answer;
}

/** @returns {ShopError} */
export function somethingElse() {
  return new ShopError(
    'no_connection',
    phrase('No connection to the shop: something else answered, perhaps the sign-in page of this network.'),
  );
}

/**
 * @param {Response} response
 * @param {ArrayBuffer} content
 */
function refusal(response, content) {
  const said = isJson(response) ? errorIn(content) : null;
  const more = { status: response.status, headers: response.headers, field: said?.field };
  if (response.status >= 500) {
    return new ShopError('shop_trouble', said?.message ?? phrase('The shop’s server is in trouble. Nothing is lost; it is tried again later.'), more);
  }
  return said ? new ShopError(said.code, said.message, more) : somethingElse();
}

/**
 * @param {ArrayBuffer} content  empty in the answer to HEAD
 * @returns {{code: string, message: string, field?: string} | null}
 */
function errorIn(content) {
  if (!content.byteLength) return { code: 'refused', message: phrase('The shop refused this.') };
  try {
    return JSON.parse(new TextDecoder().decode(content)).error ?? null;
  } catch {
    return null;
  }
}

/** @param {Response} response */
function isJson(response) {
  return /^application\/json\b/.test(response.headers.get('Content-Type') ?? '');
}
