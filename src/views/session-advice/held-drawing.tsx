import { useRef } from 'react';
import styles from './session-advice.module.css';
import { extent, scaleLinear } from 'd3';
import type { NumberedValue } from '../../compare/index.ts';
import { drift, theilSen } from '../../compare/index.ts';
import { MEASURE_NAMES, numberText, valueText } from '../../cues/index.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import { useWidth } from '../analysis/use-width.ts';
import { Z95 } from '../../units/normal-distribution.ts';

const HEIGHT = 132;
const FLOOR = HEIGHT - 26;

/** One measure over the reps of a session, with the interval of every rep and the line along which it falls or holds. */
export function HeldDrawing({ measure, values, words }: { readonly measure: MeasureId; readonly values: readonly NumberedValue[]; readonly words: string }) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box);
  const held = drift(values);
  const first = values[0];
  if (held === null || first === undefined) return null;
  const [low = 0, high = 1] = extent(values.flatMap((each) => [each.value - Z95 * each.sd, each.value + Z95 * each.sd]));
  const [from = 1, to = 1] = extent(values.map((each) => each.rep));
  const x = scaleLinear([from, Math.max(to, from + 1)], [64, width - 14]);
  const y = scaleLinear([low, Math.max(high, low + 1e-6)], [FLOOR - 8, 10]);
  // Below five reps the slope has no interval: no line is drawn that nobody can trust.
  const along = held.perRepCi95 === null ? null : theilSen(values.map((each) => each.rep), values.map((each) => each.value));
  return (
    <div ref={box} className={styles['drawing']}>
      <svg viewBox={`0 0 ${width} ${HEIGHT}`} width="100%" height={HEIGHT} role="img" aria-label={`${MEASURE_NAMES[measure]} over the reps: ${values.map((each) => `rep ${each.rep} ${valueText(each.value, each.unit)}`).join(', ')}. ${words}`}>
        <path d={`M0 ${FLOOR}H${width}`} className={styles['floor']} />
        {y.ticks(3).map((value) => <text key={value} x="0" y={y(value) + 5} className={styles['tick']}>{numberText(value, first.unit)}</text>)}
        {values.map((each) => (
          <g key={each.rep}>
            <path d={`M${x(each.rep)} ${y(each.value - Z95 * each.sd)}V${y(each.value + Z95 * each.sd)}`} className={styles['interval']} />
            <circle cx={x(each.rep)} cy={y(each.value)} r="5" className={styles['point']} />
            <text x={x(each.rep)} y={HEIGHT - 6} textAnchor="middle" className={styles['tick']}>{each.rep}</text>
          </g>
        ))}
        {along !== null && <path d={`M${x(from)} ${y(along.intercept + along.slope * from)}L${x(to)} ${y(along.intercept + along.slope * to)}`} className={held.isDrifting ? styles['falls'] : styles['holds']} />}
      </svg>
    </div>
  );
}
