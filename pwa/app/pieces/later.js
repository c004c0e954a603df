/** A piece of the first screen that can wait: its code is read when the screen stands. */
import { useEffect, useState } from 'preact/hooks';
import { html } from '../html.js';

/** @param {{load: import('../screens.js').Loader}} props */
export function Later({ load }) {
  const [Piece, setPiece] = useState(/** @type {import('../screens.js').ScreenComponent | null} */ (null));
  useEffect(
    () =>
      void load().then(
        (piece) => setPiece(() => piece),
        () => undefined, // the next start reads it again
      ),
    [load],
  );
  return Piece && html`<${Piece} />`;
}
