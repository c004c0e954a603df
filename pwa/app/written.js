/**
 * How a locale writes days, times and long numbers. A browser's first answer takes a page a tenth of a second, which the
 * first screen would wait for: so it is asked once, and what it says of each month and hour is kept as a pattern.
 *
 * @typedef {'clock' | 'day' | 'dayOfYear' | 'paper'} Form
 * @typedef {Partial<Record<Form | 'number', string[]>>} Patterns  by form: a text for each month with `{day}` and `{year}`, of
 *   the clock for each hour with `{minute}`; how two numbers are written
 */

/** @type {Record<Form, Intl.DateTimeFormatOptions>} */
const FORMS = {
  clock: { hour: '2-digit', minute: '2-digit' },
  day: { day: 'numeric', month: 'short' },
  dayOfYear: { day: 'numeric', month: 'short', year: 'numeric' },
  paper: { day: 'numeric', month: 'long', year: 'numeric' },
};
/** What must be found in each text of a form, or it is no pattern: another calendar, other figures. @type {Record<Form, string[]>} */
const PLACES = { clock: ['{minute}'], day: ['{day}'], dayOfYear: ['{day}', '{year}'], paper: ['{day}', '{year}'] };
const KEPT = 'coiltrail.written';
const AT_ONCE = /** @type {const} */ (['clock', 'day', 'dayOfYear', 'number']); // what the first screens write
// Figures that are found again in a text: none of them is part of another, or of an hour or a month.
const [DAY, YEAR, MINUTE] = [28, 2047, 59];
const SAMPLES = [1234, 1234567];

/** By locale. @type {Record<string, Patterns>} */
const known = held();

/** @returns {Record<string, Patterns>} */
function held() {
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT) ?? '{}');
    return kept && typeof kept === 'object' ? kept : {};
  } catch {
    return {};
  }
}

/** Whether all that the first screens write is known without asking the browser. @param {string} locale */
export function isLearned(locale) {
  return AT_ONCE.every((form) => known[locale]?.[form]);
}

/** Ask the browser for what the first screens write, and keep it. @param {string} locale */
export function learn(locale) {
  for (const form of AT_ONCE) patterns(locale, form);
  try {
    localStorage.setItem(KEPT, JSON.stringify(known));
  } catch {
    // Then it is asked again at the next start.
  }
}

/** @param {string} locale @param {Form | 'number'} form */
function patterns(locale, form) {
  const ofLocale = (known[locale] ??= {});
  return (ofLocale[form] ??= form === 'number' ? SAMPLES.map((one) => one.toLocaleString(locale)) : asked(locale, form));
}

/** @param {string} locale @param {Form} form @returns {string[]} none where the locale writes in another way */
function asked(locale, form) {
  const format = new Intl.DateTimeFormat(locale, FORMS[form]);
  const moments =
    form === 'clock'
      ? Array.from({ length: 24 }, (_, hour) => new Date(YEAR, 0, DAY, hour, MINUTE))
      : Array.from({ length: 12 }, (_, month) => new Date(YEAR, month, DAY));
  const texts = moments.map((moment) =>
    format.format(moment).replace(String(YEAR), '{year}').replace(String(MINUTE), '{minute}').replace(String(DAY), '{day}'),
  );
  return texts.every((text) => PLACES[form].every((place) => text.includes(place))) ? texts : [];
}

/** @param {Date} date @param {Form} form @param {string} locale */
export function dateWritten(date, form, locale) {
  const pattern = patterns(locale, form)[form === 'clock' ? date.getHours() : date.getMonth()];
  if (!pattern) return new Intl.DateTimeFormat(locale, FORMS[form]).format(date);
  return pattern
    .replace('{day}', String(date.getDate()))
    .replace('{year}', String(date.getFullYear()))
    .replace('{minute}', String(date.getMinutes()).padStart(2, '0'));
}

/** A whole number with its thousands grouped as the locale does it. @param {string} digits @param {string} locale */
export function grouped(digits, locale) {
  const [four, seven] = patterns(locale, 'number');
  const between = seven[1];
  const plain = digits.replace(/^0+(?=\d)/, '');
  if (seven !== ['1', '234', '567'].join(between)) return BigInt(plain).toLocaleString(locale); // grouped in another way
  if (plain.length <= 4 && four.length === 4) return plain;
  return plain.replace(/\B(?=(\d{3})+$)/g, between);
}
