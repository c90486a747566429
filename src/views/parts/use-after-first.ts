import { startTransition, useEffect, useState } from 'react';

/** False at first, true soon after: what waits for it is built in small pieces, so that a big screen does not block the page at once. */
export function useAfterFirst(): boolean {
  const [isAfter, setAfter] = useState(false);
  useEffect(() => {
    startTransition(() => { setAfter(true); });
  }, []);
  return isAfter;
}
