/** Every screen by its name in the address: `#/settings`, and `#/case/<id>/codes` for those of a case. */
import { CaseHome } from './screens/case-home.js';
import { NewCase } from './screens/new-case.js';
import { Start } from './screens/start.js';

/** @type {Record<string, (props: any) => any>} */
export const screens = {
  '': Start,
  new: NewCase,
};

/** @type {Record<string, (props: {id: string, parts: string[]}) => any>} */
export const caseScreens = {
  '': CaseHome,
};
