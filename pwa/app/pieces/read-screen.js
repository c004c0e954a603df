/** A screen as soon as its code has been read; at once when it has been read before. */
import { useEffect, useState } from 'preact/hooks';
import { html } from '../html.js';
import { to } from '../route.js';
import { readScreen } from '../screens.js';
import { Notice } from './notice.js';
import { Screen } from './screen.js';

/** @type {Map<import('../screens.js').Loader, import('../screens.js').ScreenComponent>} */
const read = new Map();

/** @param {{load: import('../screens.js').Loader, given: Record<string, any>}} props  `given`: what the screen gets */
export function ReadScreen({ load, given }) {
  const [, setTimes] = useState(0);
  const [trouble, setTrouble] = useState('');
  useEffect(() => {
    if (read.has(load)) return;
    readScreen(load).then(
      (component) => {
        read.set(load, component);
        setTimes((times) => times + 1);
      },
      (problem) => setTrouble(problem instanceof Error ? problem.message : String(problem)),
    );
  }, [load]);
  const Component = read.get(load);
  if (Component) return html`<${Component} ...${given} />`;
  if (!trouble) return html`<main class="screen" aria-busy="true"></main>`;
  return html`<${Screen} title="This screen is not on this device yet" back=${to()}>
    <${Notice} tone="warn" title="It needs a connection once"><p>${trouble}</p><//>
    <button type="button" class="key" onClick=${() => location.reload()}>Try again</button>
  <//>`;
}
