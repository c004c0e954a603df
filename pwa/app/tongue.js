/**
 * The language of the screens: the one chosen, else the first of the phone's that there is. `start.js` reads its texts
 * before any module with texts is run, so that these may also be put together where a module begins.
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

/** Read the texts of the language. */
export async function readTexts() {
  if (language === 'en') return;
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
