/** Sign in again when the shop asks for it; the records on the phone are not touched. */
import { syncNow } from '../../field/sync.js';
import { html } from '../html.js';
import { goInstead, to } from '../route.js';
import { SignIn } from './sign-in.js';

export function SignInAgain() {
  const done = () => {
    void syncNow();
    goInstead(to());
  };
  return html`<div class="screen"><${SignIn} onDone=${done} /></div>`;
}
