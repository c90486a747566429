import { useRef } from 'react';
import styles from './compare.module.css';
import { extent, scaleLinear } from 'd3';
import { MEASURE_NAMES } from '../../cues/index.ts';
import { bareAmount, changeText, rangeText } from '../analysis/amounts.ts';
import { useWidth } from '../analysis/use-width.ts';
import type { ComparedMeasure } from './compare-blocks.ts';
import { drawnSign, endWords, isShown, verdictWord } from './compare-words.ts';

const EDGE = 14;

/** A difference on its line: nothing in the middle, faster (or longer) to the right, the interval as a bar, the smallest change of one rep as the shaded part around nothing. */
export function DifferenceDrawing({ measure }: { readonly measure: ComparedMeasure }) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box);
  const { value, ci95 } = measure.difference;
  const sign = drawnSign(measure);
  const reach = 1.15 * Math.max(Math.abs(ci95[0]), Math.abs(ci95[1]), measure.smallestOfOne);
  const x = scaleLinear([-reach, reach], [EDGE, width - EDGE]);
  const at = (change: number) => x(sign * change);
  const [left, right] = endWords(measure);
  const middle = 17;
  return (
    <div ref={box} className={styles['drawing']}>
      <svg
        viewBox={`0 0 ${width} 54`} width="100%" height="54" role="img" className={styles[measure.difference.verdict]}
        aria-label={`${MEASURE_NAMES[measure.id]}: ${changeText(value, measure.unit)}, 95 % interval ${rangeText(ci95, measure.unit)}, ${verdictWord(measure)}`}
      >
        <rect x={at(-sign * measure.smallestOfOne)} y={middle - 12} width={at(sign * measure.smallestOfOne) - at(-sign * measure.smallestOfOne)} height="24" className={styles['smallest']} />
        <path d={`M2 ${middle}H${width - 2}`} className={styles['axis']} />
        <path d={`M${x(0)} 1V33`} className={styles['zero']} />
        <path d={`M${at(ci95[0])} ${middle}H${at(ci95[1])}M${at(ci95[0])} ${middle - 7}v14M${at(ci95[1])} ${middle - 7}v14`} className={styles['interval']} />
        {measure.difference.verdict === 'slower'
          ? <path d={`M${at(value) - 10} ${middle}l16 -9v18z`} className={styles['point']} />
          : isShown(measure.difference)
            ? <circle cx={at(value)} cy={middle} r="7" className={styles['point']} />
            : <path d={`M${at(value)} ${middle - 8}l8 8l-8 8l-8-8z`} className={styles['open']} />}
        <text x="2" y="50" className={styles['end']}>{left}</text>
        <text x={x(0)} y="50" textAnchor="middle" className={styles['end']}>0</text>
        <text x={width - 2} y="50" textAnchor="end" className={styles['end']}>{right}</text>
      </svg>
    </div>
  );
}

/** The reps behind a comparison as they were: the first side as rings, the second as full marks, both means as posts. */
export function RepsDrawing({ measure, names }: { readonly measure: ComparedMeasure; readonly names: readonly [string, string] }) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box);
  const values = [...measure.before, ...measure.after].map((each) => each.value);
  const [low = 0, high = 1] = extent(values);
  const room = Math.max((high - low) * 0.12, Math.max(...[...measure.before, ...measure.after].map((each) => each.sd)), 1e-6);
  const x = scaleLinear([low - room, high + room], [EDGE, width - EDGE]);
  const mean = (side: typeof measure.before) => side.reduce((sum, each) => sum + each.value, 0) / side.length;
  const text = (side: typeof measure.before) => side.map((each) => bareAmount(each.value, measure.unit)).join(', ');
  return (
    <div ref={box} className={styles['drawing']}>
      <svg viewBox={`0 0 ${width} 44`} width="100%" height="44" role="img" aria-label={`${names[0]}: ${text(measure.before)}. ${names[1]}: ${text(measure.after)}.`}>
        {[measure.before, measure.after].map((side, i) => {
          const y = i === 0 ? 12 : 34;
          return (
            <g key={i === 0 ? 'before' : 'after'}>
              <path d={`M2 ${y}H${width - 2}`} className={styles['axis']} />
              <path d={`M${x(mean(side))} ${y - 10}v20`} className={styles['mean']} />
              {side.map((each, n) => <circle key={n} cx={x(each.value)} cy={y} r="5.5" className={i === 0 ? styles['ring'] : styles['full']} />)}
            </g>
          );
        })}
      </svg>
    </div>
  );
}
