/**
 * Every screen by its name in the address: `#/settings`, and `#/case/<id>/codes` for those of a case. Only the first screen
 * comes with the page; the others are read when they are wanted, or when the page has nothing better to do.
 *
 * @typedef {(props: any) => any} ScreenComponent
 * @typedef {() => Promise<ScreenComponent>} Loader
 */
import { coreAtRest } from '../field/core.js';
import { loadDeclaration } from './declared.js';
import { freeTime } from './free-time.js';

/** What stands without a sign-in: by the link of somebody who has one, or by name and password. @type {Record<string, Loader>} */
export const alone = {
  owner: async () => (await import('./screens/owner.js')).Owner,
  join: async () => (await import('./screens/join.js')).Join,
  paired: async () => (await import('./screens/paired.js')).Paired,
  signIn: async () => (await import('./screens/sign-in.js')).SignIn,
};

/** @type {Record<string, Loader>} */
export const screens = {
  new: async () => (await import('./screens/new-case.js')).NewCase,
  prices: async () => (await import('./screens/prices.js')).Prices,
  van: async () => (await import('./screens/van.js')).Van,
  learned: async () => (await import('./screens/learned.js')).Learned,
  settings: async () => (await import('./screens/settings.js')).Settings,
  devices: async () => (await import('./screens/devices.js')).Devices,
  pair: async () => (await import('./screens/pair.js')).Pair,
  people: async () => (await import('./screens/people.js')).People,
  lock: async () => (await import('./screens/lock.js')).LockScreen,
  password: async () => (await import('./screens/password.js')).Password,
  audit: async () => (await import('./screens/audit.js')).Audit,
  'handed-in': async () => (await import('./screens/handed-in.js')).HandedIn,
  sync: async () => (await import('./screens/sync.js')).Sync,
  'stray-photos': async () => (await import('./screens/stray-photos.js')).StrayPhotos,
  'set-aside': async () => (await import('./screens/set-aside.js')).SetAside,
  'sign-in': async () => (await import('./screens/sign-in-again.js')).SignInAgain,
  find: async () => (await import('./screens/find.js')).Find,
  shelf: async () => (await import('./screens/shelf.js')).ShelfScreen,
  brands: async () => (await import('./screens/brands.js')).Brands,
  calls: async () => (await import('./screens/calls.js')).Calls,
  'print-tags': async () => (await import('./screens/print-tags.js')).PrintTags,
  shared: async () => (await import('./screens/shared.js')).SharedScreen,
  tags: async () => (await import('./screens/tags.js')).Tags,
  tag: async () => (await import('./screens/tag-opened.js')).TagOpened,
};

/** @type {Record<string, Loader>} */
export const caseScreens = {
  '': async () => (await import('./screens/case-home.js')).CaseHome,
  round: async () => (await import('./screens/round.js')).Round,
  compare: async () => (await import('./screens/compare.js')).Compare,
  codes: async () => (await import('./screens/codes.js')).Codes,
  moves: async () => (await import('./screens/moves.js')).Moves,
  checks: async () => (await import('./screens/checks.js')).Checks,
  check: async () => (await import('./screens/one-check.js')).OneCheck,
  repair: async () => (await import('./screens/repair.js')).Repair,
  clear: async () => (await import('./screens/clear.js')).Clear,
  drive: async () => (await import('./screens/drive.js')).Drive,
  close: async () => (await import('./screens/close.js')).Close,
  reopen: async () => (await import('./screens/reopen.js')).Reopen,
  vehicle: async () => (await import('./screens/vehicle.js')).Vehicle,
  complaint: async () => (await import('./screens/complaint.js')).ComplaintScreen,
  note: async () => (await import('./screens/note.js')).NoteScreen,
  shake: async () => (await import('./screens/shake.js')).Shake,
  photo: async () => (await import('./screens/photo.js')).PhotoScreen,
  picture: async () => (await import('./screens/picture.js')).PictureScreen,
  entry: async () => (await import('./screens/entry.js')).EntryScreen,
  cylinder: async () => (await import('./screens/cylinder.js')).CylinderScreen,
  part: async () => (await import('./screens/part.js')).PartScreen,
  tag: async () => (await import('./screens/tag.js')).TagScreen,
  torque: async () => (await import('./screens/torque.js')).TorqueScreen,
  removed: async () => (await import('./screens/removed.js')).Removed,
  label: async () => (await import('./screens/label.js')).Label,
  estimate: async () => (await import('./screens/priced.js')).Estimate,
  bill: async () => (await import('./screens/priced.js')).Bill,
  agree: async () => (await import('./screens/agree.js')).Agree,
  claim: async () => (await import('./screens/claim.js')).Claim,
  erase: async () => (await import('./screens/erase.js')).Erase,
  report: async () => (await import('./screens/report.js')).Report,
};

/** A screen's code, and what its forms are declared by. @param {Loader} load */
export async function readScreen(load) {
  const [component] = await Promise.all([load(), loadDeclaration()]);
  return component;
}

/** Read all screens, one by one while nothing else is to be done or thought over, so that none makes its first tap wait. */
export async function readScreensWhenIdle() {
  for (const load of [...Object.values(caseScreens), ...Object.values(screens)]) {
    await coreAtRest();
    await freeTime();
    await readScreen(load).catch(() => undefined); // what cannot be had now is tried again when it is wanted
  }
}
