import analysis from '../analysis/analysis.module.css';
import sheet from '../analysis/rule-sheet.module.css';
import { DEFAULT_STOP_RULES, fasterWhen, type StopRules } from '../../compare/index.ts';
import { MEASURE_NAMES } from '../../cues/index.ts';
import { MEASURE_IDS, type MeasureId } from '../../shapes/measure.ts';
import { AmountField } from '../analysis/amount-field.tsx';
import { Checks, RuleSheet } from '../analysis/rule-sheet.tsx';
import { useTakeBack } from '../analysis/use-take-back.ts';

/** Measures whose fall can mean tired legs. */
const CAN_FALL: readonly MeasureId[] = ['launch.hipSpeed', 'launch.pushKnee', 'hurdle.flight', 'kick.rate', 'passe.thigh', 'plant.lungeRatio', 'steps.length[1]', 'steps.length[2]'];
const CAN_JUDGE: readonly MeasureId[] = MEASURE_IDS.filter((id) => fasterWhen(id) !== 'neither');

/** The rules as the coach wants them, each with what it is for. */
export function RuleEditor({ rules, onRules }: { readonly rules: StopRules; readonly onRules: (rules: StopRules) => void }) {
  const { change, takeBack } = useTakeBack(rules, onRules);
  const isBuiltIn = JSON.stringify(rules) === JSON.stringify(DEFAULT_STOP_RULES);
  return (
    <RuleSheet summary="The rules, and why; change them" isBuiltIn={isBuiltIn} onBuiltIn={() => { change(DEFAULT_STOP_RULES); }} takeBack={takeBack}>
      <section aria-label="Drills">
        <h3>Drill starts</h3>
        <p className={analysis['soft']}>A harder start is tried until it is really faster or this often, then the usual start shows whether it helped.</p>
        <AmountField label="Tries at most" unit="tries" value={rules.drillTries} min={1} max={20} step={1} onAmount={(value) => { change({ ...rules, drillTries: Math.round(value) }, 'tries'); }} />
        <Checks
          legend="“Faster” is judged by the first of these that was measured"
          choices={CAN_JUDGE.map((value) => ({ value, word: MEASURE_NAMES[value] + (rules.speedMeasures.includes(value) ? ` (${rules.speedMeasures.indexOf(value) + 1})` : '') }))}
          chosen={rules.speedMeasures}
          onToggle={(speedMeasures) => { change({ ...rules, speedMeasures }); }}
        />
      </section>
      <section aria-label="Tired legs">
        <h3>Tired legs</h3>
        <p className={analysis['soft']}>When one of these falls over the session, the legs are tired: no more passes today, strength work on another day.</p>
        <div className={analysis['row']}>
          <AmountField label="A fall counts from" unit="%" value={rules.fallPercent} min={0} max={100} step={1} onAmount={(fallPercent) => { change({ ...rules, fallPercent }, 'percent'); }} />
          <AmountField label="over at least" unit="reps" value={rules.fallReps} min={5} max={100} step={1} hint="below five nothing can be told" onAmount={(value) => { change({ ...rules, fallReps: Math.round(value) }, 'reps'); }} />
        </div>
        <Checks
          legend="What is watched"
          choices={CAN_FALL.map((value) => ({ value, word: MEASURE_NAMES[value] }))}
          chosen={rules.fallingMeasures}
          onToggle={(fallingMeasures) => { change({ ...rules, fallingMeasures }); }}
        />
      </section>
      <section aria-label="Rest">
        <h3>Rest</h3>
        <label className={sheet['one']}>
          <input type="checkbox" checked={rules.mostReps !== null} onChange={() => { change({ ...rules, mostReps: rules.mostReps === null ? (DEFAULT_STOP_RULES.mostReps ?? 12) : null }); }} />
          Remind of a rest by the number of reps
        </label>
        {rules.mostReps !== null && (
          <AmountField label="Reps until the reminder" unit="reps" value={rules.mostReps} min={1} max={200} step={1} onAmount={(value) => { change({ ...rules, mostReps: Math.round(value) }, 'most'); }} />
        )}
      </section>
      <section aria-label="Fixed">
        <h3>Not changed here</h3>
        <p className={analysis['soft']}>Pain always means stop; that cannot be changed. Which starts are never done in sets stands in the rules of the ladder.</p>
      </section>
    </RuleSheet>
  );
}
