import { useEffect, useState } from 'react';
import { MOMENT_IDS, type MomentId } from '../../phases/moment.ts';
import type { Reading } from '../../reading/reading.ts';
import { useSession } from '../session-context.ts';

/** Widest still that is asked of the decoder, pixels: enough for a cropped athlete on a dense screen. */
const STILL_WIDTH_PX = 1280;

/** Decoded frames of the key moments; a moment whose frame is not there yet is left out. */
export type Stills = ReadonlyMap<MomentId, MomentStill>;

/** One decoded frame and its clip second. */
export interface MomentStill {
  readonly t: number;
  readonly bitmap: ImageBitmap;
}

/** The frames of the key moments from the decoder. They follow a moved moment, and are let go with the view. */
export function useStills(file: File | null, reading: Reading): Stills {
  const { engine } = useSession();
  const [stills, setStills] = useState<Stills>(new Map());
  const found = MOMENT_IDS.flatMap((id) => {
    const moment = reading.moments[id];
    return moment.found ? [`${id} ${moment.t}`] : [];
  });
  const key = found.join(',');
  useEffect(() => {
    const wanted = key === '' ? [] : key.split(',').map((each) => {
      const [id, t] = each.split(' ');
      return { id: id as MomentId, t: Number(t) };
    });
    if (file === null || wanted.length === 0) return;
    const abort = new AbortController();
    // A moment that is being dragged asks for stills only once it rests.
    const timer = setTimeout(() => {
      void engine.stills(file, wanted.map((each) => each.t), STILL_WIDTH_PX, abort.signal).then((outcome) => {
        if (!outcome.ok || outcome.value.length === 0) return;
        if (abort.signal.aborted) {
          for (const still of outcome.value) still.bitmap.close();
          return;
        }
        const next = new Map<MomentId, MomentStill>();
        outcome.value.forEach((still, index) => {
          const one = wanted[index];
          if (one !== undefined) next.set(one.id, { t: one.t, bitmap: still.bitmap });
        });
        setStills((before) => {
          for (const { bitmap } of before.values()) bitmap.close();
          return next;
        });
      });
    }, 150);
    return () => {
      clearTimeout(timer);
      abort.abort();
    };
  }, [engine, file, key]);
  useEffect(
    () => () => {
      setStills((before) => {
        for (const { bitmap } of before.values()) bitmap.close();
        return new Map();
      });
    },
    [],
  );
  return stills;
}
