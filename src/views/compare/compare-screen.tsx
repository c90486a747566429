import { useLocation } from 'wouter';
import { useRecords } from '../records-context.ts';
import { AthleteFrame } from '../analysis/athlete-frame.tsx';
import { IsItFaster } from './is-it-faster.tsx';

/** Is it faster? Two reps or two blocks of reps of one athlete. */
export function CompareScreen() {
  const rules = useRecords((state) => state.stopRules);
  const kept = useRecords((state) => state.keptTracks);
  const [, go] = useLocation();
  return (
    <AthleteFrame title="Is it faster?" todo="Two saved reps of one start answer it. Add an athlete, open a clip, save the rep; then the next.">
      {({ log, athlete }) => (
        <IsItFaster
          log={log} athleteId={athlete.id} speedMeasures={rules.speedMeasures} hasTrack={(id) => kept.has(id)}
          onSideBySide={(first, second) => { go(`/compare/side/${encodeURIComponent(first)}/${encodeURIComponent(second)}`); }}
        />
      )}
    </AthleteFrame>
  );
}
