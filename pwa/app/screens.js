/** Every screen by its name in the address: `#/settings`, and `#/case/<id>/codes` for those of a case. */
import { CaseHome } from './screens/case-home.js';
import { Checks } from './screens/checks.js';
import { Clear } from './screens/clear.js';
import { Close } from './screens/close.js';
import { Codes } from './screens/codes.js';
import { Compare } from './screens/compare.js';
import { ComplaintScreen } from './screens/complaint.js';
import { CylinderScreen } from './screens/cylinder.js';
import { Devices } from './screens/devices.js';
import { Drive } from './screens/drive.js';
import { EntryScreen } from './screens/entry.js';
import { Label } from './screens/label.js';
import { Moves } from './screens/moves.js';
import { NewCase } from './screens/new-case.js';
import { NoteScreen } from './screens/note.js';
import { OneCheck } from './screens/one-check.js';
import { PartScreen } from './screens/part.js';
import { PhotoScreen } from './screens/photo.js';
import { PictureScreen } from './screens/picture.js';
import { Reopen } from './screens/reopen.js';
import { Repair } from './screens/repair.js';
import { Report } from './screens/report.js';
import { Round } from './screens/round.js';
import { SetAside } from './screens/set-aside.js';
import { Settings } from './screens/settings.js';
import { SignInAgain } from './screens/sign-in-again.js';
import { Start } from './screens/start.js';
import { Sync } from './screens/sync.js';
import { TagScreen } from './screens/tag.js';
import { TagOpened } from './screens/tag-opened.js';
import { Tags } from './screens/tags.js';

/** @type {Record<string, (props: any) => any>} */
export const screens = {
  '': Start,
  new: NewCase,
  settings: Settings,
  devices: Devices,
  sync: Sync,
  'set-aside': SetAside,
  'sign-in': SignInAgain,
  tags: Tags,
  tag: TagOpened,
};

/** @type {Record<string, (props: {id: string, parts: string[]}) => any>} */
export const caseScreens = {
  '': CaseHome,
  round: Round,
  compare: Compare,
  codes: Codes,
  moves: Moves,
  checks: Checks,
  check: OneCheck,
  repair: Repair,
  clear: Clear,
  drive: Drive,
  close: Close,
  reopen: Reopen,
  complaint: ComplaintScreen,
  note: NoteScreen,
  photo: PhotoScreen,
  picture: PictureScreen,
  entry: EntryScreen,
  cylinder: CylinderScreen,
  part: PartScreen,
  tag: TagScreen,
  label: Label,
  report: Report,
};
