/** Drawing on a photo that the log holds: every mark is an entry, and what is rubbed out or moved is struck. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { save, saveAll } from '../saving.js';
import { phrase } from '../tongue.js';
import { MarkEditor } from './mark-editor.js';

/** @typedef {import('../marks.js').Mark} Mark */

/** Kept in the log, so in no language of its own: `casefile` puts it in words. */
const RUBBED_OUT = 'Rubbed out';

/** @param {{caseId: string, photo: any, onDone: () => void}} props  `photo`: as the core tells it */
export function KeptMarks({ caseId, photo, onDone }) {
  const [saved, setSaved] = useState(/** @type {Mark[]} */ ([])); // until the core tells of them
  /** @param {Mark} mark @returns {import('../../field/log.js').Draft} */
  const drawing = ({ entry, words, ...mark }) => {
    const given = Object.entries(mark).filter(([, value]) => value !== null); // the core tells all of them
    return { case: caseId, kind: 'marked', body: { of: photo.entry, ...Object.fromEntries(given) } };
  };
  /** @param {Mark} mark @returns {import('../../field/log.js').Draft} */
  const rubbing = (mark) => ({ case: caseId, kind: 'struck', body: { entry: mark.entry, why: RUBBED_OUT } });

  /** What the core tells of no more, once it is struck, is not to come back as just drawn. @param {Mark} mark */
  const without = (mark) => saved.filter(({ entry }) => entry !== mark.entry);

  /** @param {Mark} mark */
  const keep = async (mark) => {
    const { entries } = await save(drawing(mark), phrase('Mark saved on this device'));
    setSaved([...saved, ...entries.map(({ id }) => ({ ...mark, entry: id }))]);
  };
  /** @param {Mark} mark @param {Mark} there */
  const move = async (mark, there) => {
    const { entries } = await saveAll([drawing(there), rubbing(mark)], phrase('Mark saved on this device'));
    setSaved([...without(mark), ...entries.slice(0, 1).map(({ id }) => ({ ...there, entry: id }))]);
  };
  /** @param {Mark} mark */
  const rubOut = (mark) => {
    setSaved(without(mark));
    void save(rubbing(mark), phrase('Rubbed out'));
  };

  const marks = photo.marks ?? [];
  const told = new Set(marks.map((/** @type {Mark} */ mark) => mark.entry));
  return html`<${MarkEditor}
    photo=${photo}
    marks=${marks}
    drawn=${saved.filter((mark) => !told.has(mark.entry))}
    onKeep=${keep}
    onRubOut=${rubOut}
    onMove=${move}
    onDone=${onDone}
  />`;
}
