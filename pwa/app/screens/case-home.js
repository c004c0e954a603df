/** The case at one glance. */
import { html } from '../html.js';
import { EngineDrawing } from '../engine-drawing.js';
import { openCase } from '../open-case.js';
import { Screen } from '../pieces/screen.js';
import { to } from '../route.js';

/** @param {{id: string}} props */
export function CaseHome({ id }) {
  const open = openCase.value;
  const view = open?.view;
  return html`<${Screen} title=${view?.title ?? 'Case'} back=${to()}>
    ${view && html`<${EngineDrawing} engine=${view.engine} orientation=${view.orientation} label="Engine from above" />`}
  <//>`;
}
