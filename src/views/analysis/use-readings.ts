import { useEffect, useState } from 'react';
import type { Rep } from '../../athletelog/index.ts';
import type { Reading } from '../../reading/reading.ts';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { useSession } from '../session-context.ts';

/** Readings out of the stored tracks of some reps, by rep id; grows as they are read. Reps without a track are not in it. */
export function useReadings(reps: readonly Rep[]): ReadonlyMap<string, Reading> {
  const records = useRecordsActions();
  const { engine } = useSession();
  const kept = useRecords((state) => state.keptTracks);
  const [readings, setReadings] = useState<ReadonlyMap<string, Reading>>(new Map());
  const wanted = reps.filter((rep) => kept.has(rep.id));
  const key = wanted.map((rep) => `${rep.id} ${JSON.stringify(rep.stated)}`).join('|');
  useEffect(() => {
    const screen = new AbortController();
    const isGone = (): boolean => screen.signal.aborted;
    const load = async () => {
      for (const rep of wanted) {
        const analysis = await records.analysisOf(rep.id);
        if (isGone()) return;
        if (analysis === null) continue;
        const reading = await engine.read(analysis, rep.stated, records.profileFor(rep.athleteId));
        if (isGone()) return;
        setReadings((before) => new Map(before).set(rep.id, reading));
      }
    };
    void load();
    return () => { screen.abort(); };
    // `key` says everything about `wanted` that matters here.
  }, [records, engine, key]);
  return readings;
}
