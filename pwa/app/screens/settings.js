/** Choices of whoever holds this phone, and what is known of it. */
import { useEffect, useState } from 'preact/hooks';
import { signOut } from '../../field/session.js';
import { backup, restore, room } from '../../field/storage.js';
import { unitsOf } from '../declared.js';
import { html } from '../html.js';
import { person } from '../person.js';
import { OfflineNotice } from '../pieces/offline-notice.js';
import { Screen } from '../pieces/screen.js';
import { isOneOf, roleWords } from '../roles.js';
import { to } from '../route.js';
import { say, sayTrouble } from '../said.js';
import { changeSettings, settings } from '../settings.js';
import { LANGUAGES, language, phrase } from '../tongue.js';
import { firstUnit } from '../units.js';
import { size } from '../words.js';

const LASTING = phrase('The browser has promised not to clear the records by itself.');
const NOT_LASTING =
  phrase('The browser may clear the records when room runs short. Put Coiltrail on the home screen: installed, it is asked to keep them.');
/** @type {Record<string, string>} */
const DIMENSIONS = {
  torque: phrase('Torque'),
  pressure: phrase('Pressure'),
  distance: phrase('Distance'),
  temperature: phrase('Temperature'),
  length: phrase('Length'),
  gap: phrase('Gap'),
  speed: phrase('Speed'),
};
const THEMES = /** @type {const} */ ([
  ['system', phrase('As the device')],
  ['light', phrase('Paper, light')],
  ['dark', phrase('Blueprint, dark')],
]);

export function Settings() {
  const me = person.value;
  return html`<${Screen} title="Settings" back=${to()}>
    <${OfflineNotice} />
    <fieldset class="field">
      <legend>Language</legend>
      <div class="choices">
        ${Object.entries(LANGUAGES).map(
          ([code, name]) => html`<label class="choice" key=${code} lang=${code}>
          <input type="radio" name="language" checked=${code === language} onChange=${() => speak(code)} /><span>${name}</span>
        </label>`,
        )}
      </div>
    </fieldset>
    <fieldset class="field">
      <legend>Looks</legend>
      <div class="choices">
        ${THEMES.map(
          ([value, words]) => html`<label
          class="choice"
          key=${value}
        >
          <input
            type="radio"
            name="theme"
            checked=${settings.value.theme === value}
            onChange=${() => changeSettings({ theme: value })}
          /><span>${words}</span>
        </label>`,
        )}
      </div>
    </fieldset>
    <section class="stack close">
      <h2>Units</h2>
      <p class="soft">As typed: each figure keeps the unit it came in. In brackets stands the one that a field begins with.</p>
      <div class="side-by-side roomy">
        ${Object.keys(DIMENSIONS).map((dimension) => html`<${UnitChoice} key=${dimension} dimension=${dimension} />`)}
      </div>
    </section>
    <section class="stack close">
      <h2>Advice</h2>
      <div class="keys">
        <a class="key" href=${to('van')}>Tools in the van</a>
        <a class="key" href=${to('learned')}>What closed cases taught</a>
      </div>
    </section>
    <${Room} />
    <${Copies} />
    <section class="stack close">
      <h2>Who</h2>
      <p>${me?.person.name}, ${roleWords(me?.person.role ?? '').toLowerCase()}, ${me?.shop.name}</p>
      <div class="keys">
        <a class="key" href=${to('people')}>People</a>
        ${isOneOf('owner', 'desk') && html`<a class="key" href=${to('prices')}>Prices and taxes</a>`}
        ${me?.person.role === 'owner' && html`<a class="key" href="/api/cases/export.zip" download>All of the shop as files</a>`}
        <a class="key" href=${to('devices')}>Devices</a>
        ${isOneOf('owner', 'desk') && html`<a class="key" href=${to('handed-in')}>Handed in</a>`}
        <a class="key" href=${to('set-aside')}>Set aside</a>
        ${isOneOf('owner') && html`<a class="key" href=${to('audit')}>Who did what</a>`}
        <a class="key" href=${to('password')}>Password</a>
        <a class="key" href=${to('lock')}>Lock</a>
        <button type="button" class="key" onClick=${() => void leave()}>Sign out</button>
      </div>
    </section>
  <//>`;
}

/** The page begins anew in another language. @param {string} code */
function speak(code) {
  changeSettings({ language: code });
  location.reload();
}

/** @param {{dimension: string}} props */
function UnitChoice({ dimension }) {
  const units = unitsOf(dimension);
  const chosen = settings.value.units[dimension] ?? '';
  /** @param {any} event */
  const onChange = (event) => {
    const { [dimension]: _, ...typedUnits } = settings.value.typedUnits;
    const { [dimension]: __, ...others } = settings.value.units;
    changeSettings({ units: event.target.value ? { ...others, [dimension]: event.target.value } : others, typedUnits });
  };
  return html`<div class="field">
    <label for=${`unit-${dimension}`}>${DIMENSIONS[dimension]}</label>
    <select id=${`unit-${dimension}`} value=${chosen} onChange=${onChange}>
      <option value="" selected=${!chosen}>${phrase('As typed ({unit})', { unit: firstUnit(dimension) })}</option>
      ${units.map(
        (one) => html`<option
        key=${one.unit}
        value=${one.unit}
        selected=${one.unit === chosen}
      >${one.unit}</option>`,
      )}
    </select>
  </div>`;
}

function Room() {
  const [found, setFound] = useState(/** @type {import('../../field/storage.js').Room | null} */ (null));
  useEffect(() => void room().then(setFound, () => undefined), []);
  return html`<section class="stack close">
    <h2>Room on this device</h2>
    <p>${found ? (found.lasting ? LASTING : NOT_LASTING) : phrase('Being measured')}</p>
    ${
      found &&
      found.used !== null &&
      html`<p>
      ${roomWords(found)}
    </p>`
    }
  </section>`;
}

/** @param {import('../../field/storage.js').Room} found */
function roomWords({ used, free, low }) {
  const values = { used: size(used ?? 0), free: size(free ?? 0) };
  if (free === null) return phrase('{used} used.', values);
  return low ? phrase('{used} used, {free} free: nearly full.', values) : phrase('{used} used, {free} free.', values);
}

/** @param {number} entries @param {number} photos */
function copied(entries, photos) {
  return {
    entries: phrase('{n} entry|{n} entries', { n: entries }),
    photos: phrase('{n} photo|{n} photos', { n: photos }),
  };
}

/** @param {unknown} trouble */
function messageOf(trouble) {
  return trouble instanceof Error ? trouble.message : String(trouble);
}

/** What only this phone has, as a file. */
function Copies() {
  const [told, setTold] = useState('');
  const [busy, setBusy] = useState(false);
  const keep = async () => {
    setBusy(true);
    try {
      const { blob, name, entries, photos } = await backup();
      const link = document.createElement('a');
      link.href = URL.createObjectURL(blob);
      link.download = name;
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 60e3);
      setTold(phrase('{entries} and {photos} are in {name}.', { ...copied(entries, photos), name }));
    } catch (trouble) {
      setTold(phrase('No copy was made. {why}', { why: messageOf(trouble) }));
    }
    setBusy(false);
  };
  /** @param {any} event */
  const takeBack = async (event) => {
    const file = event.target.files?.[0];
    event.target.value = '';
    if (!file) return;
    setBusy(true);
    try {
      const { entries, photos, refused } = await restore(file);
      setTold([phrase('{entries} and {photos} came back.', copied(entries, photos)), ...refused].join(' '));
    } catch (trouble) {
      setTold(phrase('Nothing was taken back. {why}', { why: messageOf(trouble) }));
    }
    setBusy(false);
  };
  return html`<section class="stack close">
    <h2>Copy of what only this device has</h2>
    <div class="keys">
      <button type="button" class="key" disabled=${busy} onClick=${() => void keep()}>Keep a copy as a file</button>
      <label class="key file-key">
        <input class="unseen" type="file" disabled=${busy} onChange=${takeBack} />Take a copy back
      </label>
    </div>
    <p role="status">${told}</p>
  </section>`;
}

async function leave() {
  try {
    await signOut();
    say(phrase('Signed out. The records stay on this device.'));
  } catch (trouble) {
    sayTrouble(messageOf(trouble));
  }
}
