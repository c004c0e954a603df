/** Anything worth keeping, spoken or typed, perhaps on a cylinder. */
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CylinderChoice } from '../pieces/cylinder-choice.js';
import { useForm } from '../pieces/form.js';
import { NoteFields } from '../pieces/note-fields.js';
import { RecordScreen } from '../pieces/record-screen.js';
import { VoiceKey } from '../pieces/voice.js';
import { goInstead, to } from '../route.js';

/** @param {{id: string}} props */
export function NoteScreen({ id }) {
  const form = useForm(`form/${id}/note`, () => ({}));
  return html`<${RecordScreen} id=${id} title="Note" kind="note" form=${form} words="Keep the note">
    <${VoiceKey} caseId=${id} onKept=${() => goInstead(to('case', id))} />
    <${NoteFields} kind="note" form=${form} path="text" />
    <${CylinderChoice} form=${form} path="cylinder" engine=${openCase.value?.view?.engine} />
  <//>`;
}
