import styles from './session-advice.module.css';
import analysis from '../analysis/analysis.module.css';
import { numberedValues, sessionReps, usualSpread } from '../../athletelog/index.ts';
import type { AthleteLog, Ladder } from '../../athletelog/index.ts';
import { drift, drillEffect, type StopRules } from '../../compare/index.ts';
import { MEASURE_NAMES } from '../../cues/index.ts';
import { START_IDS, START_NAMES, type StartId } from '../../starts/start.ts';
import { changeText, rangeText } from '../analysis/amounts.ts';
import { Empty } from '../analysis/empty.tsx';
import { Tape } from '../analysis/tape.tsx';
import { Cautions } from '../parts/cautions.tsx';
import { adviceFor } from './advice-for.ts';
import { HeldDrawing } from './held-drawing.tsx';
import { RuleEditor } from './rule-editor.tsx';

interface SessionAdviceProps {
  readonly log: AthleteLog;
  readonly athleteId: string;
  readonly sessionId: string;
  readonly rules: StopRules;
  readonly ladder: Ladder;
  readonly onRules: (rules: StopRules) => void;
}

/** When to stop: what the session's reps so far say, with the figures behind, and the rules. Advice, never a lock. */
export function SessionAdvice({ log, athleteId, sessionId, rules, ladder, onRules }: SessionAdviceProps) {
  const reps = sessionReps(log, athleteId, sessionId);
  const usualStart = log.athletes.find((athlete) => athlete.id === athleteId)?.usualStart ?? 'two-step-run';
  if (reps.length === 0) {
    return <Empty title="No rep in this session yet" todo="Save the first rep. From then on this page says when a drill is done and when it is time to stop, with the figures behind it." action={<RuleEditor rules={rules} onRules={onRules} />} />;
  }
  const inOrder = adviceFor(log, athleteId, sessionId, rules, ladder);
  const [first, ...rest] = inOrder;
  return (
    <div className={analysis['screen']}>
      <Tape
        label="Advice"
        say={first?.say ?? 'Nothing in the figures speaks against another rep.'}
        figure={first?.figure ?? `${reps.length} ${reps.length === 1 ? 'rep' : 'reps'} looked at. That is no clearance: ask how the legs feel, and look at the athlete.`}
      />
      <div className={analysis['body']}>
        {first !== undefined && <p className={analysis['text']}>{first.rule}</p>}
        {rest.length > 0 && (
          <ul className={styles['more']} aria-label="More advice">
            {rest.map((each) => (
              <li key={each.say}>
                <p className={styles['say']}>{each.say}</p>
                <p>{each.figure}</p>
                <p className={analysis['soft']}>{each.rule}</p>
              </li>
            ))}
          </ul>
        )}
        <DrillEffects log={log} athleteId={athleteId} sessionId={sessionId} usualStart={usualStart} rules={rules} />
        <Watched log={log} athleteId={athleteId} sessionId={sessionId} rules={rules} />
        <RuleEditor rules={rules} onRules={onRules} />
        <Cautions />
      </div>
    </div>
  );
}

/** Usual start before the drills against after them. */
function DrillEffects({ log, athleteId, sessionId, usualStart, rules }: { readonly log: AthleteLog; readonly athleteId: string; readonly sessionId: string; readonly usualStart: StartId; readonly rules: StopRules }) {
  const reps = sessionReps(log, athleteId, sessionId);
  for (const measure of rules.speedMeasures) {
    const units = new Set(reps.filter((rep) => rep.start === usualStart).flatMap((rep) => rep.values[measure]?.unit ?? []));
    const [unit] = units;
    if (unit === undefined || units.size > 1) continue;
    const effect = drillEffect(reps, usualStart, measure, usualSpread(log, athleteId, usualStart, measure, unit, sessionId) ?? undefined);
    if (effect === null) continue;
    const { difference } = effect;
    return (
      <section aria-label="Did the drill help?">
        <h2>Did the drill help?</h2>
        <p className={styles['effect']}>
          {difference.verdict === 'no-difference' ? 'No difference that these clips can show' : `${START_NAMES[usualStart]} ${difference.verdict} after the drill`}
        </p>
        <p className={analysis['text']}>
          {START_NAMES[usualStart]}, {effect.before} {effect.before === 1 ? 'rep' : 'reps'} before and {effect.after} after {effect.drills.map((start) => START_NAMES[start].toLowerCase()).join(', ')}:{' '}
          {MEASURE_NAMES[measure].toLowerCase()} {changeText(difference.value, unit)}, 95 % interval {rangeText(difference.ci95, unit)}.
          Warming up and tiring count in it too.
        </p>
      </section>
    );
  }
  return null;
}

/** The watched measures over the session, one drawing each. */
function Watched({ log, athleteId, sessionId, rules }: { readonly log: AthleteLog; readonly athleteId: string; readonly sessionId: string; readonly rules: StopRules }) {
  const drawn = START_IDS.flatMap((start) => rules.fallingMeasures.flatMap((measure) => {
    const all = numberedValues(log, athleteId, sessionId, measure, start);
    const unit = all.at(-1)?.unit;
    const values = all.filter((each) => each.unit === unit);
    return values.length < 2 ? [] : [{ start, measure, values }];
  }));
  if (drawn.length === 0) return <p className={analysis['text']}>Nothing that is watched was measured in two reps of one start yet, so nothing can be said about tired legs.</p>;
  return (
    <section aria-label="What is watched">
      <h2>What is watched</h2>
      <div className={styles['watched']}>
        {drawn.map(({ start, measure, values }) => {
          const words = holdWords(values.length, rules.fallReps, drift(values)?.isDrifting ?? false, (drift(values)?.perRep ?? 0) < 0);
          return (
            <figure key={`${start} ${measure}`}>
              <figcaption><b>{MEASURE_NAMES[measure]}</b>, {START_NAMES[start].toLowerCase()}: {words}</figcaption>
              <HeldDrawing measure={measure} values={values} words={words} />
            </figure>
          );
        })}
      </div>
    </section>
  );
}

function holdWords(reps: number, needed: number, isDrifting: boolean, isFalling: boolean): string {
  if (reps < needed) return `${reps} of the ${needed} reps that a trend needs`;
  if (!isDrifting) return 'holds, no trend shown';
  return isFalling ? 'falls' : 'rises';
}
