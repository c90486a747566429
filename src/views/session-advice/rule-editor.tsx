import styles from './session-advice.module.css';
import analysis from '../analysis/analysis.module.css';
import { DEFAULT_STOP_RULES, fasterWhen, type StopRules } from '../../compare/index.ts';
import { MEASURE_NAMES } from '../../cues/index.ts';
import { MEASURE_IDS, type MeasureId } from '../../shapes/measure.ts';
import { AmountField } from '../analysis/amount-field.tsx';

/** Measures whose fall can mean tired legs. */
const CAN_FALL: readonly MeasureId[] = ['launch.hipSpeed', 'launch.pushKnee', 'hurdle.flight', 'kick.rate', 'passe.thigh', 'plant.lungeRatio', 'steps.length[1]', 'steps.length[2]'];
const CAN_JUDGE: readonly MeasureId[] = MEASURE_IDS.filter((id) => fasterWhen(id) !== 'neither');

/** The rules as the coach wants them, each with what it is for. */
export function RuleEditor({ rules, onRules }: { readonly rules: StopRules; readonly onRules: (rules: StopRules) => void }) {
  const toggled = (list: readonly MeasureId[], id: MeasureId) => (list.includes(id) ? list.filter((each) => each !== id) : [...list, id]);
  const isDefault = JSON.stringify(rules) === JSON.stringify(DEFAULT_STOP_RULES);
  return (
    <details className={analysis['behind']}>
      <summary>The rules, and why; change them</summary>
      <div className={styles['rules']}>
        <p className={analysis['text']}>All of these are common practice without a published source. They give advice and lock nothing.</p>
        <section aria-label="Drills">
          <h3>Drill starts</h3>
          <p className={analysis['soft']}>A harder start is tried until it is really faster or this often, then the usual start shows whether it helped.</p>
          <AmountField label="Tries at most" unit="tries" value={rules.drillTries} min={1} max={20} step={1} onAmount={(value) => { onRules({ ...rules, drillTries: Math.round(value) }); }} />
          <fieldset className={styles['checks']}>
            <legend>“Faster” is judged by the first of these that was measured</legend>
            {CAN_JUDGE.map((id) => (
              <label key={id}>
                <input type="checkbox" checked={rules.speedMeasures.includes(id)} onChange={() => { onRules({ ...rules, speedMeasures: toggled(rules.speedMeasures, id) }); }} />
                {MEASURE_NAMES[id]}{rules.speedMeasures.includes(id) && ` (${rules.speedMeasures.indexOf(id) + 1})`}
              </label>
            ))}
          </fieldset>
        </section>
        <section aria-label="Tired legs">
          <h3>Tired legs</h3>
          <p className={analysis['soft']}>When one of these falls over the session, the legs are tired: no more passes today, strength work on another day.</p>
          <div className={analysis['row']}>
            <AmountField label="A fall counts from" unit="%" value={rules.fallPercent} min={0} max={100} step={1} onAmount={(value) => { onRules({ ...rules, fallPercent: value }); }} />
            <AmountField label="over at least" unit="reps" value={rules.fallReps} min={5} max={100} step={1} hint="below five nothing can be told" onAmount={(value) => { onRules({ ...rules, fallReps: Math.round(value) }); }} />
          </div>
          <fieldset className={styles['checks']}>
            <legend>What is watched</legend>
            {CAN_FALL.map((id) => (
              <label key={id}>
                <input type="checkbox" checked={rules.fallingMeasures.includes(id)} onChange={() => { onRules({ ...rules, fallingMeasures: toggled(rules.fallingMeasures, id) }); }} />
                {MEASURE_NAMES[id]}
              </label>
            ))}
          </fieldset>
        </section>
        <section aria-label="Rest">
          <h3>Rest</h3>
          <label className={styles['one']}>
            <input type="checkbox" checked={rules.mostReps !== null} onChange={() => { onRules({ ...rules, mostReps: rules.mostReps === null ? (DEFAULT_STOP_RULES.mostReps ?? 12) : null }); }} />
            Remind of a rest by the number of reps
          </label>
          {rules.mostReps !== null && (
            <AmountField label="Reps until the reminder" unit="reps" value={rules.mostReps} min={1} max={200} step={1} onAmount={(value) => { onRules({ ...rules, mostReps: Math.round(value) }); }} />
          )}
        </section>
        <section aria-label="Fixed">
          <h3>Not to be changed</h3>
          <p className={analysis['soft']}>Pain always means stop. Starts that the ladder keeps to single tries are never done in sets.</p>
        </section>
        {!isDefault && <button type="button" className={analysis['link']} onClick={() => { onRules(DEFAULT_STOP_RULES); }}>Back to the first rules</button>}
      </div>
    </details>
  );
}
