/** Whether there is room for two columns. */
import { useEffect, useState } from 'preact/hooks';

const WIDE = matchMedia('(min-width: 62rem)');

export function useWide() {
  const [wide, setWide] = useState(WIDE.matches);
  useEffect(() => {
    const listener = () => setWide(WIDE.matches);
    WIDE.addEventListener('change', listener);
    return () => WIDE.removeEventListener('change', listener);
  }, []);
  return wide;
}
