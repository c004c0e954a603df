/**
 * The language of the screens: the one chosen, else the first of the phone's that there is. It stands before any module
 * that imports this one is run, so that texts may also be put together where a module begins.
 */
import { use } from '../field/tongue.js';
import { settings } from './settings.js';

export { inEnglish, phrase } from '../field/tongue.js';

/** Every language there is, in its own words. */
export const LANGUAGES = { en: 'English', es: 'Español' };

export const language = settings.value.language || ofThePhone();

/** How numbers and days of this page are written. */
export const locale = localeOf(language);

document.documentElement.lang = language;
if (language !== 'en') {
  try {
    use(language, await (await fetch(`/languages/${language}.json`)).json());
  } catch (trouble) {
    console.error(trouble); // English is better than no page
  }
}

/** How a language writes numbers and days: as the phone does, where it speaks it. @param {string} of */
export function localeOf(of) {
  return navigator.languages.find((one) => one.split('-')[0] === of) ?? of;
}

function ofThePhone() {
  return navigator.languages.map((one) => one.split('-')[0]).find((one) => one in LANGUAGES) ?? 'en';
}
