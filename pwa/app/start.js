/**
 * The page begins: the texts of its language first, since modules put texts together where they begin.
 *
 * No module of the page awaits anything outside its functions: in WebKit (https://bugs.webkit.org/show_bug.cgi?id=242740)
 * two screens read at once then find each other's pieces undefined. The types' `module` setting refuses it.
 */
import { startCore } from '../field/core.js';
import { readTexts } from './tongue.js';

void begin();

async function begin() {
  await readTexts();
  // A case waits for the core, which takes longest to start.
  if (location.hash.startsWith('#/case/')) void startCore();
  // What lies below the screens runs first, by itself: two short tasks let a finger in sooner than one long one.
  const [{ me }] = await Promise.all([import('../field/session.js'), import('../field/log.js')]);
  void me().catch(() => undefined); // the phone's database opens meanwhile; what hinders it is told where it is read
  await import('./main.js');
}
