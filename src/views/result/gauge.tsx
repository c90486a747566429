import styles from './gauge.module.css';
import type { Finding } from '../../checker/finding.ts';
import { VerdictShape, verdictClass } from '../parts/verdict-mark.tsx';

const WIDTH = 176;
const HEIGHT = 30;
const EDGE = 12;

/** The span of values a gauge shows: the band with as much again on each side, or further when the value lies beyond. */
export function gaugeSpan(finding: Finding): readonly [number, number] {
  const [low, high] = finding.band;
  const width = Math.max(high - low, 1e-6);
  const from = Math.min(low - width, finding.ci95?.[0] ?? low);
  const to = Math.max(high + width, finding.ci95?.[1] ?? high);
  // Never more than four bands to a side: far beyond, the distance no longer matters, the wedge does.
  return [Math.max(from, low - 4 * width), Math.min(to, high + 4 * width)];
}

/** A value on its band: the band thick, the interval a bar, the value as the sign of its verdict. */
export function Gauge({ finding }: { readonly finding: Finding }) {
  const [from, to] = gaugeSpan(finding);
  const x = (value: number) => EDGE + ((Math.min(Math.max(value, from), to) - from) / (to - from)) * (WIDTH - 2 * EDGE);
  const middle = HEIGHT / 2;
  const [low, high] = finding.band;
  return (
    <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} className={`${styles['gauge'] ?? ''} ${verdictClass(finding.verdict)}`} aria-hidden="true">
      <path d={`M2 ${middle}H${WIDTH - 2}`} className={styles['line']} />
      <rect x={x(low)} y={middle - 8} width={Math.max(x(high) - x(low), 3)} height="16" className={styles['band']} />
      {finding.ci95 !== null && (
        <path d={`M${x(finding.ci95[0])} ${middle}H${x(finding.ci95[1])}M${x(finding.ci95[0])} ${middle - 5}v10M${x(finding.ci95[1])} ${middle - 5}v10`} className={styles['interval']} />
      )}
      {finding.value !== null && (
        <g transform={`translate(${x(finding.value)} ${middle})`}>
          <VerdictShape verdict={finding.verdict} side={finding.side} />
        </g>
      )}
    </svg>
  );
}
