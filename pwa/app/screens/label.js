/** The label of a tag, drawn on the phone: square, code in clear, and how the part finds its way back. */
import { qrPath } from '../../field/qr.js';
import { html } from '../html.js';
import { printer } from '../label-size.js';
import { openCase } from '../open-case.js';
import { person } from '../person.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { Icon } from '../pieces/icon.js';
import { LabelFields } from '../pieces/label-fields.js';
import { openFile } from '../print-file.js';
import { sayTrouble } from '../said.js';
import { tagAddress, tagWords } from '../tag-words.js';
import { goInstead, home, to } from '../route.js';
import { phrase } from '../tongue.js';
import { dayOfYear, sentence } from '../words.js';

/** @param {{id: string, parts: string[]}} props */
export function Label({ id, parts }) {
  const [code] = parts;
  const shop = person.value?.shop;
  const open = openCase.value;
  const opened = open?.entries?.find((one) => one.kind === 'case_opened');
  const plate = open?.view?.vehicle?.plate || open?.view?.title;
  const part = open?.view?.parts.find((/** @type {any} */ one) => one.tag === code);
  const square = shop ? qrPath(tagAddress(shop.public_url, code)) : null;
  const path = `/api/tags/${code}/label.pdf?${new URLSearchParams({ size: printer.value.size, dpi: printer.value.dpi })}`;
  const keys = html`<div class="keys">
    <button type="button" class="key main" onClick=${() => print()}><${Icon} name="print" />Print</button>
    ${part && html`<a class="key" href=${to('case', id, 'part', part.part)}>The part</a>`}
    <button type="button" class="key" onClick=${() => goInstead(home(id))}>Back to the case</button>
  </div>`;
  return html`<${CaseScreen} id=${id} title="Label" keys=${keys} class="label-screen">
    <div class="label">
      ${
        square &&
        html`<svg
        class="label-square"
        viewBox=${`0 0 ${square.size} ${square.size}`}
        role="img"
        aria-label=${phrase('Square with the address of tag {code}', { code: tagWords(code) })}
      ><rect width=${square.size} height=${square.size} fill="#fff" /><path d=${square.path} fill="#000" /></svg>`
      }
      <div class="label-words">
        <p class="label-code figures">${tagWords(code)}</p>
        ${part && html`<p>${sentence(part.label)}</p><p class="label-car">${plate}</p><p>${opened && dayOfYear(opened.at[0])}</p>`}
        <p>${shop?.name ?? ''}</p>
        <p class="figures">${shop?.phone ?? ''}</p>
      </div>
    </div>
    ${part && html`<p>${phrase('{part} of {car}', { part: sentence(part.label), car: open?.view?.title ?? '' })}</p>`}
    ${!part && !open?.thinking && html`<p class="soft">No part of this case carries this tag.</p>`}
    <p class="soft">Print it, or copy the ten characters on a tag by hand: they lead to the part as well.</p>
    <section class="stack close">
      <h2>For a label printer</h2>
      <${LabelFields} />
      <button
        type="button"
        class="key"
        disabled=${!part}
        onClick=${() => openFile('GET', path, `${code}.pdf`).catch((trouble) => sayTrouble(trouble.message))}
      >Label as a file</button>
      <p class="soft">With a connection, once the tag is in the shop: it names part, plate, case and day, not the customer.</p>
    </section>
  <//>`;
}
