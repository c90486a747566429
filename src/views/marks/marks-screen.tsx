import { useMemo } from 'react';
import { repsOf, type AthleteLog } from '../../athletelog/index.ts';
import { AthleteFrame } from '../analysis/athlete-frame.tsx';
import { useReadings } from '../analysis/use-readings.ts';
import { useRecordsActions } from '../records-context.ts';
import { MarksView } from './marks-view.tsx';

/** The marks of one athlete in one session. */
export function MarksScreen() {
  return (
    <AthleteFrame title="Do the marks hold?" todo="Save reps with the athlete’s height entered, or a distance measured by tape. Then every mark, step and hand stands here on a strip in metres." hasSession>
      {({ log, athlete, sessionId }) => <Marks key={`${athlete.id} ${sessionId ?? ''}`} log={log} athleteId={athlete.id} sessionId={sessionId ?? ''} />}
    </AthleteFrame>
  );
}

function Marks({ log, athleteId, sessionId }: { readonly log: AthleteLog; readonly athleteId: string; readonly sessionId: string }) {
  const records = useRecordsActions();
  const readings = useReadings(useMemo(() => repsOf(log, { athleteId, sessionId }), [log, athleteId, sessionId]));
  const plan = log.sessions.find((session) => session.id === sessionId)?.present.find((each) => each.athleteId === athleteId)?.floorPlan ?? null;
  return (
    <MarksView
      log={log} athleteId={athleteId} sessionId={sessionId} plan={plan} readings={readings}
      onPlan={(next) => { void records.putFloorPlan(sessionId, athleteId, next); }}
    />
  );
}
