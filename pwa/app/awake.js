/** Keeps the screen on while both hands are at the engine. */
import { useEffect } from 'preact/hooks';

export function useAwake() {
  useEffect(() => {
    /** @type {WakeLockSentinel | null} */
    let lock = null;
    let gone = false;
    const hold = async () => {
      if (document.visibilityState !== 'visible' || !navigator.wakeLock) return;
      try {
        const got = await navigator.wakeLock.request('screen');
        if (gone) void got.release();
        else lock = got;
      } catch {
        // A phone that saves its battery refuses; the round goes on.
      }
    };
    void hold();
    document.addEventListener('visibilitychange', hold);
    return () => {
      gone = true;
      document.removeEventListener('visibilitychange', hold);
      void lock?.release();
    };
  }, []);
}
