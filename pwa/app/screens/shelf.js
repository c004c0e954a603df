/** The shelf: tagged parts and those laid aside, with what should happen to each next. */
import { useState } from 'preact/hooks';
import { field, labelOf } from '../declared.js';
import { html } from '../html.js';
import { FromShop, More, useFromShop } from '../pieces/from-shop.js';
import { Icon } from '../pieces/icon.js';
import { PlainField } from '../pieces/plain-field.js';
import { Screen } from '../pieces/screen.js';
import { Select } from '../pieces/select.js';
import { Thumbs } from '../pieces/thumbs.js';
import { to } from '../route.js';
import { tagWords } from '../tag-words.js';
import { phrase } from '../tongue.js';
import { dateWords, sentence } from '../words.js';

export function ShelfScreen() {
  const [next, setNext] = useState('');
  const [typed, setTyped] = useState('');
  const asked = useFromShop(`/api/shelf?${new URLSearchParams({ ...(next && { next }), ...(typed && { q: typed }) })}`, 'parts');
  const { parts = [], waiting = {}, cursor = null } = asked.found ?? {};
  const choices = [...(field('part_fate', 'next').choices ?? []).map(({ value, label }) => [value, label]), ['gone', phrase('Nothing more')]];
  const told = choices.map(([value, label]) => [value, `${label} (${waiting[value] ?? 0})`]);
  return html`<${Screen} title="The shelf" back=${to()} class="desk">
    <div class="keys">
      <a class="key" href=${to('brands')}>Counts by brand</a>
      <a class="key" href=${to('print-tags')}><${Icon} name="print" />Print tags</a>
    </div>
    <form role="search" class="filters" onSubmit=${(/** @type {Event} */ event) => event.preventDefault()}>
      <${PlainField} label="Plate, car, customer, part, brand, tag or note" type="search" value=${typed} onInput=${setTyped} autocomplete="off" />
      <${Select} label="To do next" value=${next} choices=${[['', phrase('Anything')], ...told]} onChange=${setNext} />
    </form>
    <${FromShop} asked=${asked} what="The shelf">
      <p class="soft" role="status">
        ${parts.length ? partsWords(parts.length, cursor !== null) : noneWords(typed.trim(), told.find(([value]) => next && value === next)?.[1])}
      </p>
      <ul class="ruled">
        ${parts.map((/** @type {any} */ part) => html`<li key=${`${part.case}/${part.part}`}><${Row} part=${part} /></li>`)}
      </ul>
      <${More} asked=${asked} />
    <//>
  <//>`;
}

/** @param {number} n @param {boolean} more */
function partsWords(n, more) {
  return more
    ? phrase('{n} part of more: say what is printed on it|{n} parts of more: say what is printed on it', { n })
    : phrase('{n} part|{n} parts', { n });
}

/** What was looked for and where, when nothing is found. @param {string} typed @param {string} [next]  words of what comes next, where it was chosen */
function noneWords(typed, next) {
  if (!typed) return phrase('No part waits for this.');
  const looked = phrase('Looked for “{typed}” in plate, car, customer, kind of part, brand, part number and tag.', { typed });
  return next
    ? phrase('No part that waits for “{next}” has all of this. {looked}', { next: next.replace(/ \(\d+\)$/, ''), looked })
    : phrase('No part that waits for something has all of this. {looked} What waits for nothing more is listed under “Nothing more”.', { looked });
}

/** @param {{part: any}} props */
function Row({ part }) {
  const what = [part.brand, part.part_number].filter(Boolean).join(' ');
  const from = { cylinders: part.cylinders.join(phrase(', then ')), car: part.title };
  const served = part.cylinders.length ? phrase('cylinder {cylinders} of {car}', from) : phrase('of {car}', from);
  const now = part.fate ? labelOf('part_fate', 'fate', part.fate) : sentence(part.place_label);
  return html`<article class="shelf-row" aria-label=${`${sentence(part.label)}, ${part.title}`}>
    <p>
      <a href=${to('case', part.case, 'part', part.part)}><strong>${what || sentence(part.label)}</strong></a>
      ${part.tag && html` <span class="figures">${tagWords(part.tag)}</span>`}
    </p>
    <p>${what ? `${sentence(part.label)}; ` : ''}${served} ${part.plate && part.plate !== part.title && html`<span class="plate">${part.plate}</span>`}</p>
    <p class="soft">${part.bench ? phrase('{now}; bench: {found}', { now, found: labelOf('part_fate', 'bench', part.bench).toLowerCase() }) : now}</p>
    ${part.note && html`<p class="hand">${part.note}</p>`}
    ${part.tag_on && html`<p><${Icon} name="warn" /> Its tag was bound to another part later. <a href=${to('case', part.tag_on.case, 'part', part.tag_on.part)}>Look which of the two carries it</a></p>`}
    ${part.cleared && html`<p><${Icon} name="warn" /> Blamed in its case, and good on the bench.</p>`}
    <p>
      ${part.next && html`<strong>${labelOf('part_fate', 'next', part.next)}</strong>`}${part.next && part.deadline && ', '}
      ${part.deadline && html`<${Deadline} day=${part.deadline} />`}
    </p>
    <${Thumbs} caseId=${part.case} photos=${part.photos.slice(0, 4).map((/** @type {string} */ sha256) => ({ sha256, alt: phrase('Photo of {label}', { label: part.label }) }))} />
  </article>`;
}

/** @param {{day: string}} props  "YYYY-MM-DD" */
function Deadline({ day }) {
  const days = Math.floor((new Date(`${day}T23:59:59`).getTime() - Date.now()) / 86_400_000);
  const by = { day: dateWords(day) };
  const words =
    days < 0
      ? phrase('overdue since {day}', by)
      : days < 1
        ? phrase('today, {day}, at the latest', by)
        : phrase('by {day}, in {n} day|by {day}, in {n} days', { ...by, n: days });
  return html`<span class=${days < 7 ? 'due' : ''}>${words}</span>`;
}
