/**
 * Choices of whoever holds this phone: theme, units, the place of the drawing. Small, and no loss if they go.
 *
 * @typedef {object} Settings
 * @property {'system' | 'light' | 'dark'} theme
 * @property {string} language  its code; empty: the first of the phone's that there is
 * @property {Record<string, string>} units  dimension -> unit that quantities are shown in and fields start with
 * @property {Record<string, string>} typedUnits  dimension -> unit that was typed last, where it was another
 * @property {string} region  of the phone's language at its first start (ISO 3166), whose units fields begin with; empty: not known
 * @property {'number' | 'firing'} roundOrder
 * @property {'cover' | 'fender'} phoneRests  where the phone lies while it measures an engine
 * @property {string} disabledBy  how the cylinder was disabled in the last drop test
 * @property {Record<string, boolean>} turned  cases whose drawing is seen from the other side
 * @property {string[] | null} tools  what is in the van (keys of the core's tools); null: nobody said
 * @property {Record<string, {day: string, tools: string[]}>} notToday  by case: tools that it does without on that day, though they are in the van
 * @property {boolean} readySeen  the notice that the phone works offline was seen
 * @property {boolean} homeSeen  the notice about the home screen was seen
 */
import { signal } from '@preact/signals';
import { showIn } from '../field/core.js';

const KEY = 'coiltrail.settings';

/** @type {Settings} */
const AT_FIRST = {
  theme: 'system',
  language: '',
  units: {},
  typedUnits: {},
  region: '',
  roundOrder: 'number',
  disabledBy: '',
  phoneRests: 'cover',
  turned: {},
  tools: null,
  notToday: {},
  readySeen: false,
  homeSeen: false,
};

export const settings = signal(read());
showIn(settings.value.units);

/** @returns {Settings} */
function read() {
  try {
    const kept = localStorage.getItem(KEY);
    if (kept) return { ...AT_FIRST, ...JSON.parse(kept) };
    const first = { ...AT_FIRST, region: regionOf(navigator.languages) };
    // At once: a phone that speaks another language some day goes on in the units it began with.
    localStorage.setItem(KEY, JSON.stringify(first));
    return first;
  } catch {
    return AT_FIRST;
  }
}

/** The first region that a phone's languages name: "en-US" does, "en" does not. @param {readonly string[]} languages */
function regionOf(languages) {
  return languages.map((one) => new Intl.Locale(one).region).find((region) => region) ?? '';
}

/** @param {Partial<Settings>} part */
export function changeSettings(part) {
  settings.value = { ...settings.value, ...part };
  showIn(settings.value.units);
  const { theme } = settings.value;
  if (theme === 'system') delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme;
  try {
    localStorage.setItem(KEY, JSON.stringify(settings.value));
  } catch {
    // A phone that keeps no settings still works; they hold until the page goes.
  }
}
