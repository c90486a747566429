import { repsOf } from '../../athletelog/index.ts';
import { AthleteFrame } from '../analysis/athlete-frame.tsx';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { LadderView } from './ladder-view.tsx';

/** One athlete's ladder of starts. */
export function LadderScreen() {
  const records = useRecordsActions();
  const ladder = useRecords((state) => state.ladder);
  // All three decide the bands that hold: the screen follows them.
  useRecords((state) => state.profiles);
  useRecords((state) => state.profileInUse);
  useRecords((state) => state.assignments);
  return (
    <AthleteFrame title="Six starts, one ladder" todo="Add an athlete. The ladder then shows every start in order, what the measures say about it, and what no measure can say.">
      {({ log, athlete }) => (
        <LadderView
          key={athlete.id} log={log} athleteId={athlete.id} profile={records.profileFor(athlete.id)} ladder={ladder}
          surfaces={repsOf(log, { athleteId: athlete.id }).at(-1)?.surfaces ?? []}
          onTick={(start, isTicked) => { void records.putTick(athlete.id, start, isTicked); }}
          onLadder={(next) => { void records.putLadder(next); }}
        />
      )}
    </AthleteFrame>
  );
}
