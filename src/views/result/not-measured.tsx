import styles from './not-measured.module.css';
import { MEASURE_SHORT_NAMES, WHY_WORDS } from '../../cues/index.ts';
import type { Reading } from '../../reading/reading.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import { WHY_NOT, type WhyNot } from '../../units/why-not.ts';

/** What was not measured under each reason, in the order of the reasons; reasons that hold for nothing are left out. */
export function missingBy(reading: Reading): readonly { readonly why: WhyNot; readonly measures: readonly MeasureId[] }[] {
  return WHY_NOT.flatMap((why) => {
    const measures = (Object.keys(reading.measures) as MeasureId[]).filter((id) => {
      const measure = reading.measures[id];
      return measure?.measured === false && measure.why === why;
    });
    return measures.length === 0 ? [] : [{ why, measures }];
  });
}

/** Why some measures are missing, and how to get them, once for each reason. */
export function NotMeasured({ reading }: { readonly reading: Reading }) {
  const missing = missingBy(reading);
  if (missing.length === 0) return null;
  return (
    <section className={styles['missing']} aria-label="Not measured, and why">
      <h2>Not measured, and why</h2>
      <dl>
        {missing.map(({ why, measures }) => (
          <div key={why}>
            <dt>{measures.map((id) => MEASURE_SHORT_NAMES[id]).join(', ')}</dt>
            <dd>
              {WHY_WORDS[why].reason} {WHY_WORDS[why].nextTime}
            </dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
