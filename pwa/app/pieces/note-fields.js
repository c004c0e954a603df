/** A note, and whether the owner may read it: until somebody says so, it stays in the shop. */
import { html } from '../html.js';
import { Field } from './fields.js';

/** @param {{kind: string, form: import('./form.js').Form, path?: string}} props  `path`: of the note */
export function NoteFields({ kind, form, path = 'note' }) {
  return html`<${Field} kind=${kind} path=${path} form=${form} />
    ${form.get(path)?.trim() && html`<${Field} kind=${kind} path="for_owner" form=${form} />`}`;
}
