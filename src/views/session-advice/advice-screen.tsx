import { AthleteFrame } from '../analysis/athlete-frame.tsx';
import { useRecords, useRecordsActions } from '../records-context.ts';
import { SessionAdvice } from './session-advice.tsx';

/** When to stop: one athlete's session against the coach's rules. */
export function AdviceScreen() {
  const records = useRecordsActions();
  const rules = useRecords((state) => state.stopRules);
  const ladder = useRecords((state) => state.ladder);
  return (
    <AthleteFrame title="When is it enough?" todo="Save the reps of a session as they are done. Then it is said here when a drill is done and when it is time to stop." hasSession>
      {({ log, athlete, sessionId }) => (
        <SessionAdvice log={log} athleteId={athlete.id} sessionId={sessionId ?? ''} rules={rules} ladder={ladder} onRules={(next) => { void records.putStopRules(next); }} />
      )}
    </AthleteFrame>
  );
}
