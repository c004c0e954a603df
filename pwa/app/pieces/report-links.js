/** Links by which the owner reads this report without a sign-in. The shop makes them, so this needs a connection. */
import { useEffect, useState } from 'preact/hooks';
import { send, sendForJson } from '../../field/shop.js';
import { html } from '../html.js';
import { say } from '../said.js';
import { settings } from '../settings.js';
import { phrase } from '../tongue.js';
import { dayOfYear } from '../words.js';
import { Icon } from './icon.js';
import { LinkKeys } from './link-keys.js';

const DAYS = [7, 30, 90];

/** @param {{id: string, language: string}} props  `id` of the case, `language` of the report */
export function ReportLinks({ id, language }) {
  const [links, setLinks] = useState(/** @type {any[] | null} */ (null));
  const [fresh, setFresh] = useState('');
  const [trouble, setTrouble] = useState('');
  const attempt = async (/** @type {() => Promise<void>} */ act) => {
    try {
      await act();
      setTrouble('');
    } catch (problem) {
      setTrouble(/** @type {Error} */ (problem).message);
    }
  };
  const read = () => attempt(async () => setLinks((await sendForJson('GET', `/api/cases/${id}/report-links`)).links));
  const make = (/** @type {number} */ days) =>
    attempt(async () => {
      const made = await sendForJson('POST', `/api/cases/${id}/report-links`, {
        json: { days, units: settings.value.units },
        headers: { 'Accept-Language': language },
      });
      setFresh(made.url);
      await read();
    });
  const withdraw = (/** @type {string} */ link) =>
    attempt(async () => {
      await send('DELETE', `/api/report-links/${link}`);
      say(phrase('The link is withdrawn'));
      setFresh('');
      await read();
    });
  useEffect(() => void read(), [id]);
  return html`<section class="stack close report-aside" aria-label="Links for the owner">
    <h2>Links for the owner</h2>
    <p>Whoever has such a link reads this report as the shop has it now, and nothing else, until it ends or is withdrawn. What changes later needs a new link.</p>
    ${trouble && html`<p class="problem" role="alert">${trouble}</p>`}
    ${fresh && html`<${Fresh} url=${fresh} />`}
    <ul class="ruled">
      ${(links ?? []).map((link) => html`<li key=${link.id} class="device-row"><${Link} link=${link} onWithdraw=${() => withdraw(link.id)} /></li>`)}
    </ul>
    <div class="keys">
      ${DAYS.map((days) => html`<button type="button" class="key" key=${days} onClick=${() => make(days)}>A link for ${days} days</button>`)}
    </div>
  </section>`;
}

/** The address is told once: the shop keeps only its hash. @param {{url: string}} props */
function Fresh({ url }) {
  return html`<div class="notice well">
    <${Icon} name="share" />
    <strong>The new link</strong>
    <p><a href=${url} rel="noreferrer" target="_blank">${url}</a></p>
    <p>It is shown this once: send it now.</p>
    <div class="keys">
      <${LinkKeys} url=${url} />
    </div>
  </div>`;
}

/** @param {{link: any, onWithdraw: () => void}} props */
function Link({ link, onWithdraw }) {
  const ended = link.withdrawn_ms ? phrase('withdrawn') : link.expires_ms < Date.now() ? phrase('ended') : '';
  return html`<p>
      Made ${dayOfYear(link.made_ms)} by ${link.made_by},${' '}
      ${ended ? html`<strong>${ended}</strong>` : phrase('stands until {day}', { day: dayOfYear(link.expires_ms) })}
    </p>
    ${!ended && html`<button type="button" class="key" onClick=${onWithdraw}>Withdraw it</button>`}`;
}
