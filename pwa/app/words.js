/** How times, counts and places read on every screen. */
import { signal } from '@preact/signals';
import { field } from './declared.js';
import { locale, localeOf, phrase } from './tongue.js';
import { dateWritten, isLearned, learn } from './written.js';

/** Whether days can be written at once: but on the first start of all the first screen need not stand without them. */
export const daysAtHand = signal(isLearned(locale));

/** Once for a page, when its first screen stands. */
export function bringDays() {
  if (!daysAtHand.value) learn(locale);
  daysAtHand.value = true;
}

/** @param {Date} date @param {import('./written.js').Form} form @param {string} [inLocale] */
function written(date, form, inLocale = locale) {
  return dateWritten(date, form, inLocale);
}

/**
 * Time of day if today, else the day with it.
 * @param {number} ms
 * @param {number} [now]
 */
export function moment(ms, now = Date.now()) {
  const then = new Date(ms);
  const today = new Date(now);
  if (then.toDateString() === today.toDateString()) return written(then, 'clock');
  return `${day(ms, now)} ${written(then, 'clock')}`;
}

/**
 * @param {number} ms
 * @param {number} [now]
 */
export function day(ms, now = Date.now()) {
  const then = new Date(ms);
  return then.getFullYear() === new Date(now).getFullYear() ? written(then, 'day') : dayOfYear(ms);
}

/** @param {number} ms */
export function dayOfYear(ms) {
  return written(new Date(ms), 'dayOfYear');
}

/** In full, for who is not of the trade, as for the shop's own pages. @param {number} ms @param {string} language  of the paper */
export function dayOnPaper(ms, language) {
  return written(new Date(ms), 'paper', localeOf(language));
}

/** A day as the log keeps it, in words. @param {string} date  "YYYY-MM-DD" */
export function dateWords(date) {
  return dayOfYear(new Date(`${date}T12:00`).getTime());
}

/** @param {number} share 0 to 1 */
export function percent(share) {
  const words =
    share > 0 && share < 0.01
      ? phrase('under 1 %')
      : share < 1 && share > 0.99
        ? phrase('over 99 %')
        : `${Math.round(share * 100)} %`;
  return words.replace(' %', '\u00a0%'); // the sign never begins a line
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
