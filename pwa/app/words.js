/** How times, counts and places read on every screen. */
import { field } from './declared.js';
import { locale, localeOf, phrase } from './tongue.js';

const CLOCK = new Intl.DateTimeFormat(locale, { hour: '2-digit', minute: '2-digit' });
const DAY = new Intl.DateTimeFormat(locale, { day: 'numeric', month: 'short' });
/** @type {Intl.DateTimeFormatOptions} */
const DAY_OF_YEAR = { day: 'numeric', month: 'short', year: 'numeric' };
const OF_THE_PAGE = new Intl.DateTimeFormat(locale, DAY_OF_YEAR);

/**
 * Time of day if today, else the day with it.
 * @param {number} ms
 * @param {number} [now]
 */
export function moment(ms, now = Date.now()) {
  const then = new Date(ms);
  const today = new Date(now);
  if (then.toDateString() === today.toDateString()) return CLOCK.format(then);
  return `${day(ms, now)} ${CLOCK.format(then)}`;
}

/**
 * @param {number} ms
 * @param {number} [now]
 */
export function day(ms, now = Date.now()) {
  const then = new Date(ms);
  return then.getFullYear() === new Date(now).getFullYear() ? DAY.format(then) : dayOfYear(ms);
}

/** On paper, which is kept for years. @param {number} ms @param {string} [language]  of the paper, if not the page's */
export function dayOfYear(ms, language) {
  const form = language ? new Intl.DateTimeFormat(localeOf(language), DAY_OF_YEAR) : OF_THE_PAGE;
  return form.format(new Date(ms));
}

/** @param {number} share 0 to 1 */
export function percent(share) {
  if (share > 0 && share < 0.01) return phrase('under 1 %');
  if (share < 1 && share > 0.99) return phrase('over 99 %');
  return `${Math.round(share * 100)} %`;
}

/** @param {string} text */
export function sentence(text) {
  return text ? text[0].toUpperCase() + text.slice(1) : text;
}

/** @param {string | null | undefined} place  e.g. "coil.3" @returns {{kind: string, position: number} | null} */
export function placeParts(place) {
  const [kind, position] = (place ?? '').split('.');
  return position ? { kind, position: Number(position) } : null;
}

/** @type {Record<string, string>} */
const THE = {
  coil: phrase('the coil'),
  boot: phrase('the boot or lead'),
  plug: phrase('the spark plug'),
  injector: phrase('the injector'),
};

/** A part with its article, for the middle of a sentence: "the coil". @param {string} kind */
export function thePart(kind) {
  return THE[kind] ?? partKind(kind);
}

/** A kind of part in words. @param {string} kind */
export function partKind(kind) {
  return field('part_noted', 'kind').choices?.find((one) => one.value === kind)?.label ?? kind;
}

/** @param {string | null | undefined} place */
export function placeWords(place) {
  const at = placeParts(place);
  if (at) return `${partKind(at.kind).toLowerCase()} ${at.position}`;
  return place === 'off' ? phrase('off the engine') : place === 'unknown' ? phrase('place not known') : '';
}

/** @param {number} bytes */
export function size(bytes) {
  if (bytes < 1e6) return `${Math.max(1, Math.round(bytes / 1e3))} KB`;
  if (bytes < 1e9) return `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)} MB`;
  return `${(bytes / 1e9).toFixed(1)} GB`;
}
