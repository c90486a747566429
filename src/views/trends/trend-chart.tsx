import { useRef } from 'react';
import styles from './trends.module.css';
import { area, extent, line, scaleLinear, scaleUtc } from 'd3';
import { theilSen } from '../../compare/index.ts';
import { numberText } from '../../cues/index.ts';
import type { RepValue } from '../../compare/index.ts';
import { dayNumber, type Trend } from '../../athletelog/index.ts';
import { useWidth } from '../analysis/use-width.ts';
import { Z95 } from '../../units/normal-distribution.ts';

/** One rep of a chart. */
export interface ChartRep {
  readonly id: string;
  readonly date: string;
  readonly value: RepValue;
}

interface TrendChartProps {
  readonly found: Trend;
  readonly reps: readonly ChartRep[];
  /** Target band in the chart's unit; null where the measure is not judged. */
  readonly band: readonly [number, number] | null;
  /** Measured heights or leg lengths in metres, oldest first. */
  readonly growth: readonly { readonly date: string; readonly metres: number }[];
  readonly growthName: string;
  readonly words: string;
}

const TOP = 14;
const FLOOR = 268;
const GROWTH_TOP = 318;
const GROWTH_FLOOR = 364;

const dayOf = (date: string): Date => new Date(dayNumber(date) * 86_400_000);

/** A measure over the weeks: every rep with its interval, the mean of every session, the line through them, the band; below on the same days how the athlete grew. */
export function TrendChart({ found, reps, band, growth, growthName, words }: TrendChartProps) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box);
  const [from, to] = extent(reps, (rep) => dayOf(rep.date)) as [Date, Date];
  const weekMs = 7 * 86_400_000;
  const x = scaleUtc([new Date(from.getTime() - weekMs / 2), new Date(to.getTime() + weekMs / 2)], [58, width - 10]);
  const reach = (rep: ChartRep): readonly [number, number] => [rep.value.value - Z95 * rep.value.sd, rep.value.value + Z95 * rep.value.sd];
  const [low = 0, high = 1] = extent([...reps.flatMap(reach), ...(band ?? [])]);
  const y = scaleLinear([low, high === low ? low + 1 : high], [FLOOR - 12, TOP + 6]).nice(5);
  const days = found.points.map((point) => dayNumber(point.date));
  const slope = found.points.length >= 5 ? theilSen(days, found.points.map((point) => point.mean)) : null;
  const along = slope === null ? [] : [days[0]!, days.at(-1)!].map((day) => ({ date: new Date(day * 86_400_000), value: slope.intercept + slope.slope * day }));
  const through = line<{ readonly date: Date; readonly value: number }>((each) => x(each.date), (each) => y(each.value));
  let lastX = -Infinity;
  const months = x.ticks(width < 500 ? 4 : 8).filter((date) => {
    const hasRoom = x(date) - lastX > 66 && x(date) < width - 22;
    if (hasRoom) lastX = x(date);
    return hasRoom;
  });
  const grown = growth.map((entry) => ({ date: dayOf(entry.date), metres: entry.metres }));
  const [shortest = 0, longest = 1] = extent(grown, (entry) => entry.metres);
  const g = scaleLinear([shortest - 0.01, longest + 0.01], [GROWTH_FLOOR - 4, GROWTH_TOP + 10]);
  const [start = 0, end = width] = x.range();
  const inside = (date: Date) => Math.min(Math.max(x(date), start), end);
  const hasGrowth = grown.length > 0;
  const height = hasGrowth ? GROWTH_FLOOR + 6 : FLOOR + 34;
  const monthName = (date: Date) => `${date.getUTCDate()} ${['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'][date.getUTCMonth()] ?? ''}`;
  return (
    <div ref={box} className={styles['chart']}>
      <svg viewBox={`0 0 ${width} ${height}`} width="100%" height={height} role="img" aria-label={words}>
        {band !== null && (
          <>
            <rect x={start} y={y(band[1])} width={end - start} height={Math.max(y(band[0]) - y(band[1]), 2)} className={styles['band']} />
            <path d={`M${start} ${y(band[1])}H${end}M${start} ${y(band[0])}H${end}`} className={styles['bandEdge']} />
            <text x={end - 4} y={y(band[1]) + 17} textAnchor="end" className={styles['bandName']}>aim</text>
          </>
        )}
        {y.ticks(5).map((value) => (
          <g key={value}>
            <path d={`M${start} ${y(value)}H${end}`} className={styles['grid']} />
            <text x="0" y={y(value) + 5} className={styles['tick']}>{tickText(value, found.unit, y.ticks(5))}</text>
          </g>
        ))}
        {reps.map((rep) => (
          <g key={rep.id}>
            <path d={`M${x(dayOf(rep.date))} ${y(reach(rep)[0])}V${y(reach(rep)[1])}`} className={styles['interval']} />
            <circle cx={x(dayOf(rep.date))} cy={y(rep.value.value)} r="3.5" className={styles['rep']} />
          </g>
        ))}
        {along.length > 0 && <path d={through(along) ?? ''} className={found.verdict === 'rising' || found.verdict === 'falling' ? styles['trend'] : styles['flat']} />}
        {found.points.map((point) => (
          <path key={point.sessionId} d={`M${x(dayOf(point.date))} ${y(point.mean) - 8}l8 8l-8 8l-8-8z`} className={styles['mean']} />
        ))}
        <path d={`M0 ${FLOOR}H${width}`} className={styles['floor']} />
        {months.map((date) => (
          <g key={date.getTime()}>
            <path d={`M${x(date)} ${FLOOR}v8`} className={styles['floorTick']} />
            <text x={x(date)} y={FLOOR + 25} textAnchor="middle" className={styles['tick']}>{monthName(date)}</text>
          </g>
        ))}
        {hasGrowth && (
          <>
            <path
              d={area<(typeof grown)[number]>((entry) => inside(entry.date), GROWTH_FLOOR, (entry) => g(entry.metres))([
                { date: new Date(0), metres: grown[0]!.metres }, ...grown, { date: new Date(8.64e15), metres: grown.at(-1)!.metres },
              ]) ?? ''}
              className={styles['growth']}
            />
            {grown.map((entry, i) => (
              <g key={entry.date.getTime()}>
                <path d={`M${inside(entry.date)} ${g(entry.metres)}V${GROWTH_FLOOR}`} className={styles['floorTick']} />
                {(i === 0 || i === grown.length - 1) && (
                  <text x={inside(entry.date) + (i === 0 ? 6 : -6)} y={g(entry.metres) - 5} textAnchor={i === 0 ? 'start' : 'end'} className={styles['tick']}>{growthName} {entry.metres.toFixed(2)} m</text>
                )}
              </g>
            ))}
          </>
        )}
      </svg>
      <p className={styles['key']} aria-hidden="true">
        <span><svg viewBox="0 0 20 20"><path d="M10 2l8 8l-8 8l-8-8z" className={styles['mean']} /></svg>mean of a session</span>
        <span><svg viewBox="0 0 20 20"><path d="M10 1V19" className={styles['interval']} /><circle cx="10" cy="10" r="3.5" className={styles['rep']} /></svg>a rep and its 95 % interval</span>
        {along.length > 0 && <span><svg viewBox="0 0 20 20"><path d="M0 14L20 6" className={found.verdict === 'rising' || found.verdict === 'falling' ? styles['trend'] : styles['flat']} /></svg>{found.verdict === 'no-trend' ? 'middle line, no trend shown' : 'trend'}</span>}
        {band !== null && <span><svg viewBox="0 0 20 20"><rect x="0" y="4" width="20" height="12" className={styles['band']} /></svg>band to aim at</span>}
      </p>
    </div>
  );
}

/** A tick of the value axis: the unit's decimals, or one more where neighbours would read the same. */
function tickText(value: number, unit: RepValue['unit'], all: readonly number[]): string {
  const plain = all.map((each) => numberText(each, unit));
  return new Set(plain).size === all.length ? numberText(value, unit) : value.toFixed(2);
}
