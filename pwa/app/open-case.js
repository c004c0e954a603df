/**
 * The case that is open on the screen. What it is follows from its log and from what the core makes of it: after each
 * change the log is read again, then the core is asked for the view, then for the diagnosis. Nothing here makes a tap wait.
 */
import { computed, signal, untracked } from '@preact/signals';
import { ask } from '../field/core.js';
import * as drafts from '../field/drafts.js';
import { logOf, onChange } from '../field/log.js';
import { servedRelease } from '../field/release.js';
import { language } from '../field/tongue.js';
import { settings } from './settings.js';
import { chargedBy, moneyForDiagnosis } from './shop-terms.js';
import { toolsFor } from './tools-here.js';

/**
 * @typedef {import('../field/log.js').Entry} Entry
 * @typedef {Record<string, any>} Told  shapes: DEVELOPERS.md
 *
 * @typedef {object} OpenCase
 * @property {string} id
 * @property {Entry[] | null} entries  null: being read
 * @property {Set<string>} onlyHere  ids of entries that only this phone has
 * @property {Told | null} view  the last the core gave, perhaps of an earlier state
 * @property {string} viewTrouble
 * @property {Told | null} diagnosis
 * @property {string[]} knows  ids of the entries that the diagnosis was made of
 * @property {string} diagnosisTrouble
 * @property {any} further  the first step of the deeper advice where it is another one
 * @property {boolean} thinking  view or diagnosis do not know the latest entries yet
 */

const QUIET = 250; // ms without a new entry before the diagnosis is asked for

/** @type {import('@preact/signals').Signal<OpenCase | null>} */
export const openCase = signal(null);

// For screens that record: they need not be drawn anew whenever the core has thought of something.
export const caseView = computed(() => openCase.value?.view ?? null);
export const caseEntries = computed(() => openCase.value?.entries ?? null);
export const viewTrouble = computed(() => openCase.value?.viewTrouble ?? '');

/** @param {Partial<OpenCase>} part @param {string} id */
function change(part, id) {
  if (openCase.value?.id === id) openCase.value = { ...openCase.value, ...part };
}

const LATEST = 'coiltrail.latest-case';

/** The case that was open last on this phone, perhaps before the page went. @returns {string | null} */
export function latestCase() {
  try {
    return localStorage.getItem(LATEST);
  } catch {
    return null;
  }
}

/** @param {string} id */
function keepLatest(id) {
  try {
    localStorage.setItem(LATEST, id);
  } catch {
    // Then it is chosen once more.
  }
}

/** Make this the open case. @param {string | null} id */
export function showCase(id) {
  if ((openCase.peek()?.id ?? null) === id) return;
  if (id) keepLatest(id);
  openCase.value = id
    ? {
        id,
        entries: null,
        onlyHere: new Set(),
        view: null,
        viewTrouble: '',
        diagnosis: null,
        knows: [],
        diagnosisTrouble: '',
        further: null,
        thinking: true,
      }
    : null;
  if (id) void start(id);
}

/** @param {string} id */
async function start(id) {
  const kept = drafts.kept(`told/${id}`).then(
    (told) => {
      if (told && !openCase.value?.view) change({ view: told.view, diagnosis: told.diagnosis, knows: told.knows ?? [] }, id);
      return told;
    },
    () => undefined,
  );
  await readAgain(id, kept);
}

/** @param {string} id @param {Promise<Told | undefined>} [kept]  what the phone keeps of this case, and what it was made of */
async function readAgain(id, kept) {
  try {
    const [{ entries, onlyHere }, told] = await Promise.all([logOf(id), kept]);
    const opening = !openCase.value?.entries;
    // Sent to the shop, but nothing new: there is nothing to think over again.
    if (sameIds(openCase.value?.entries, entries)) return change({ onlyHere }, id);
    const holds = told?.of && told.of === (await madeOf(entries));
    change({ entries, onlyHere, thinking: entries.length > 0 && !holds }, id);
    if (holds) await lookFurther(id, told);
    else if (entries.length) await think(id, entries, opening ? 0 : QUIET);
  } catch (trouble) {
    const message = trouble instanceof Error ? trouble.message : String(trouble);
    change({ viewTrouble: message, thinking: false }, id);
  }
}

/**
 * Entries never change: the same ids are the same entries.
 * @param {Entry[] | null | undefined} one
 * @param {Entry[]} two
 */
function sameIds(one, two) {
  return one?.length === two.length && two.every((entry, index) => entry.id === one[index].id);
}

/** @param {string} id @param {Entry[]} entries @param {number} quiet  ms to wait for further entries */
async function think(id, entries, quiet) {
  const viewing = ask('view', { entries }, { topic: `view/${id}`, priority: 2 });
  // Of a case that was just opened the core begins the long thought while the screen draws the view.
  const early = quiet ? null : diagnosed(id, entries);
  early?.catch(() => undefined); // what fails is told below
  const view = await viewing;
  if (view.error?.code === 'superseded') return;
  if (view.error) return change({ viewTrouble: view.error.message, thinking: false }, id);
  change({ view, viewTrouble: '' }, id);
  if (quiet) {
    // In a round entries come one after the other: only the last of them is worth the long thought.
    await new Promise((resolve) => setTimeout(resolve, quiet));
    if (openCase.value?.id !== id || openCase.value.entries !== entries) return;
  }
  const { of, diagnosis } = await (early ?? diagnosed(id, entries));
  if (diagnosis.error?.code === 'superseded') return;
  if (diagnosis.error) return change({ diagnosisTrouble: diagnosis.error.message, thinking: false }, id);
  const knows = entries.map((entry) => entry.id);
  change({ diagnosis, knows, diagnosisTrouble: '', further: null, thinking: false }, id);
  const told = { view, diagnosis, of, knows };
  await drafts.keep(`told/${id}`, told).catch(() => undefined);
  await lookFurther(id, told);
}

/** @param {string} id @param {Entry[]} entries */
async function diagnosed(id, entries) {
  const [of, asked] = await Promise.all([madeOf(entries), askedWith(entries)]);
  return { of, diagnosis: await ask('diagnosis', asked, { topic: `diagnosis/${id}`, priority: -1 }) };
}

/**
 * What an answer follows from: the same makes the same answer, so a phone that keeps both need not think again. Empty
 * where it is not known which core answers.
 * @param {Entry[]} entries
 */
async function madeOf(entries) {
  const release = servedRelease();
  if (!release) return '';
  const { units } = settings.peek();
  return JSON.stringify([release, language(), units, toolsForDiagnosis(entries), await chargedBy(), entries.map(({ id }) => id)]);
}

/** @param {Entry[]} entries */
async function askedWith(entries) {
  return { entries, ...(await moneyForDiagnosis()), ...toolsForDiagnosis(entries) };
}

/**
 * While the screen stands, the steps are looked at more deeply. The same first step stays where it is and the others take
 * their places; another first step is shown below it, since a thumb may be on its way.
 * @param {string} id @param {Told} told  the view and the diagnosis on the screen, and what they were made of
 */
async function lookFurther(id, told) {
  const { diagnosis } = told;
  const entries = openCase.value?.entries;
  if (!entries || diagnosis.further || !diagnosis.steps.length) return;
  const deeper = await ask('deeper_advice', await askedWith(entries), { topic: `deeper/${id}`, priority: -2 });
  const open = openCase.value;
  if (deeper.error || open?.id !== id || open.entries !== entries || open.diagnosis !== diagnosis) return;
  const looked = { ...diagnosis, steps: deeper.steps, further: true };
  const same = deeper.steps[0]?.key === diagnosis.steps[0].key;
  change(same ? { diagnosis: looked } : { further: deeper.steps[0] ?? null }, id);
  await drafts.keep(`told/${id}`, { ...told, diagnosis: looked }).catch(() => undefined);
}

/** The tools there are for the case, where somebody said it. @param {Entry[]} entries  of the case */
function toolsForDiagnosis(entries) {
  const tools = untracked(() => toolsFor(entries[0]?.case ?? ''));
  return tools ? { tools } : {};
}

/** Once for a page. */
export function followOpenCase() {
  onChange(({ cases }) => {
    const id = openCase.value?.id;
    if (id && cases.includes(id)) void readAgain(id);
  });
}

/** Ask the core once more, after it could not be had. */
export function thinkAgain() {
  const open = openCase.value;
  if (open?.entries?.length) {
    change({ thinking: true, viewTrouble: '', diagnosisTrouble: '' }, open.id);
    void think(open.id, open.entries, 0);
  }
}

/** The latest entry of a kind in the log of the open case, struck or not. @param {string} kind */
export function lastOf(kind) {
  return openCase.value?.entries?.filter((entry) => entry.kind === kind).at(-1) ?? null;
}
