import { useRef } from 'react';
import styles from './tolerances.module.css';
import { extent, scaleLinear } from 'd3';
import type { Finding } from '../../checker/finding.ts';
import { bandText, numberText } from '../../cues/index.ts';
import type { Tolerance } from '../../tolerances/index.ts';
import { useWidth } from '../analysis/use-width.ts';
import { verdictClass } from '../parts/verdict-mark.tsx';

/** A band with its soft margin, the band before the edit as a dashed frame, and where the stored reps lie, each in the shape of its verdict. */
export function BandDrawing({ before, after, values, findings }: {
  readonly before: Tolerance | null;
  readonly after: Tolerance;
  /** Values of stored reps in the band's unit. */
  readonly values: readonly number[];
  /** Findings under the edited band; empty where it is not judged. */
  readonly findings: readonly Finding[];
}) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box);
  const { band, softMargin, unit } = after;
  const old = before?.band ?? null;
  const ends = [...values, ...(band === null ? [] : [band[0] - softMargin, band[1] + softMargin]), ...(old ?? [])];
  if (ends.length === 0) return null;
  const [low = 0, high = 1] = extent(ends);
  const room = Math.max((high - low) * 0.08, 1e-3);
  const x = scaleLinear([low - room, high + room], [4, width - 4]);
  const middle = 17;
  const isMoved = old !== null && (band === null || old[0] !== band[0] || old[1] !== band[1]);
  /** Many reps lie on few places: they are drawn on five lines. */
  const line = (i: number) => (values.length < 12 ? 0 : ((i % 5) - 2) * 4);
  const words = `${band === null ? 'Not judged' : `Band ${bandText(band, unit)}`}${isMoved ? `, before ${bandText(old, unit)}` : ''}; ${values.length} stored ${values.length === 1 ? 'value' : 'values'}${values.length === 0 ? '' : ` from ${numberText(Math.min(...values), unit)} to ${numberText(Math.max(...values), unit)}`}`;
  return (
    <div ref={box} className={styles['drawing']}>
      <svg viewBox={`0 0 ${width} 52`} width="100%" height="52" role="img" aria-label={words}>
        <path d={`M0 ${middle}H${width}`} className={styles['axis']} />
        {band !== null && (
          <>
            <rect x={x(band[0] - softMargin)} y={middle - 7} width={x(band[1] + softMargin) - x(band[0] - softMargin)} height="14" className={styles['soft']} />
            <rect x={x(band[0])} y={middle - 13} width={Math.max(x(band[1]) - x(band[0]), 3)} height="26" className={styles['band']} />
          </>
        )}
        {isMoved && <rect x={x(old[0])} y={middle - 15} width={Math.max(x(old[1]) - x(old[0]), 3)} height="30" className={styles['old']} />}
        {values.length > 0 && findings.length === 0 && values.map((value, i) => <circle key={i} cx={x(value)} cy={middle + line(i)} r="4" className={styles['plain']} />)}
        {findings.map((finding, i) => finding.value === null ? null : (
          <g key={i} transform={`translate(${x(finding.value)} ${middle + line(i)})`} className={verdictClass(finding.verdict)}>
            {finding.verdict === 'out' ? <path d={finding.side === 'below' ? 'M-7 0 5-6.5V6.5Z' : 'M7 0-5-6.5V6.5Z'} fill="currentColor" />
              : finding.verdict === 'too-close' ? <path d="M0-6 6 0 0 6-6 0Z" className={styles['open']} />
                : <circle r="4.5" className={finding.verdict === 'in-band' ? styles['full'] : styles['open']} />}
          </g>
        ))}
        {(band ?? []).map((end, i) => <text key={i} x={x(end)} y="50" textAnchor={i === 0 ? 'end' : 'start'} className={styles['end']}>{numberText(end, unit)}</text>)}
      </svg>
    </div>
  );
}
