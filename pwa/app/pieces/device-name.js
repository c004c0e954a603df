/** What this phone is called in the list of devices. */
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { PlainField } from './plain-field.js';

const SMALL = 600; // CSS pixels of the shorter side; below it is held in a hand, whatever the browser calls itself

/** A name to start from: what kind of device the browser says it is on. */
export function phoneName() {
  const agent = navigator.userAgent;
  const small = navigator.maxTouchPoints > 0 && Math.min(screen.width, screen.height) < SMALL;
  const kind = small || /iPhone|Android.*Mobile/.test(agent) ? phrase('Phone') : /iPad|Android/.test(agent) ? phrase('Tablet') : phrase('Desk');
  return kind;
}

/** @param {{value: string, onInput: (value: string) => void}} props */
export function DeviceName(props) {
  return html`<${PlainField}
    label="Name of this device"
    ...${props}
    required
    help="To tell it from your others, should it be lost."
  />`;
}
