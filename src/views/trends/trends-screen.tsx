import { AthleteFrame } from '../analysis/athlete-frame.tsx';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { TrendsView } from './trends-view.tsx';

/** One athlete's measures over the weeks. */
export function TrendsScreen() {
  const records = useRecordsActions();
  // All three decide the bands that are drawn: the screen follows them.
  useRecords((state) => state.profiles);
  useRecords((state) => state.profileInUse);
  useRecords((state) => state.assignments);
  return (
    <AthleteFrame title="Weeks make a trend" todo="Save reps in five sessions or more. Then every measure is drawn here over the weeks, with its interval, the band and how the athlete grew.">
      {({ log, athlete }) => <TrendsView key={athlete.id} log={log} athleteId={athlete.id} profile={records.profileFor(athlete.id)} />}
    </AthleteFrame>
  );
}
