/** A long screen is drawn from above in several turns, so that what is seen first waits for nothing below it. */
import { useEffect, useState } from 'preact/hooks';

/**
 * @param {boolean} ready  the first part can be drawn
 * @param {number} parts
 * @returns {number} how many parts to draw: one, and one more each time those before it have been painted
 */
export function useTurns(ready, parts) {
  const [turn, setTurn] = useState(1);
  useEffect(() => {
    if (!ready || turn === parts) return;
    const timer = setTimeout(() => setTurn(turn + 1));
    return () => clearTimeout(timer);
  }, [ready, turn]);
  return turn;
}
