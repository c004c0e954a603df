/** Which tools there are for a case: what is in the van, without what is not to be had today. */
import { tools } from './declared.js';
import { changeSettings, settings } from './settings.js';

/**
 * @param {string} caseId
 * @returns {string[] | null} keys of the core's tools; null where nobody said: then all of them
 */
export function toolsFor(caseId) {
  const held = settings.value.tools;
  const away = awayToday(caseId);
  if (!away.length) return held;
  return (held ?? tools().map(({ value }) => value)).filter((tool) => !away.includes(tool));
}

/** What this case does without today, though it is in the van. @param {string} caseId @returns {string[]} */
export function awayToday(caseId) {
  return ofToday()[caseId]?.tools ?? [];
}

/** What was said on other days is over, and goes with the next change. */
function ofToday() {
  const day = today();
  return Object.fromEntries(Object.entries(settings.value.notToday).filter(([, said]) => said.day === day));
}

function today() {
  return new Date().toDateString();
}

/** The tools that the advice on a case does without. @param {string} caseId */
export function missingFor(caseId) {
  const held = toolsFor(caseId);
  return held ? tools().filter(({ value }) => !held.includes(value)) : [];
}

/** Whether codes can be read here. @param {string} caseId */
export function canReadCodes(caseId) {
  const held = toolsFor(caseId);
  return !held || held.includes('code_reader') || held.includes('scan_tool');
}

/** Not to be had today: this case does without, and no other. @param {string} caseId @param {string[]} away */
export function notToday(caseId, away) {
  const tools = [...new Set([...awayToday(caseId), ...away])];
  changeSettings({ notToday: { ...ofToday(), [caseId]: { day: today(), tools } } });
}

/** Here after all. @param {string} caseId */
export function allToday(caseId) {
  const { [caseId]: _, ...others } = ofToday();
  changeSettings({ notToday: others });
}

/** Owned no more: every case does without. @param {string[]} away */
export function haveNone(away) {
  const held = settings.value.tools ?? tools().map(({ value }) => value);
  changeSettings({ tools: held.filter((tool) => !away.includes(tool)) });
}
