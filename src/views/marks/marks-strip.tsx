import { useId, useRef } from 'react';
import styles from './marks.module.css';
import { scaleLinear } from 'd3';
import type { Drift, FloorPlan, MarkAdvice } from '../../compare/index.ts';
import { START_NAMES, type StartId } from '../../starts/start.ts';
import { useWidth } from '../analysis/use-width.ts';
import type { FloorTrace } from './floor-trace.ts';

const LANE = 26;
const LEFT = 30;

/** The floor as the coach sees it: every rep of the session on a lane of its own in metres, under it the floor line with the edge, where the next pass is expected to end, and where the mark belongs. */
export function MarksStrip({ traces, plan, held, advice, start }: {
  readonly traces: readonly FloorTrace[];
  readonly plan: FloorPlan | null;
  readonly held: Drift | null;
  readonly advice: MarkAdvice | null;
  readonly start: StartId;
}) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box);
  const hatch = useId();
  const ends = traces.flatMap((trace) => [trace.markM, ...trace.stepsM, trace.plantM, trace.handsM]).filter((m) => m !== null);
  const next = held?.next ?? null;
  const markAtM = plan?.markAtM ?? 0;
  const reach = [
    ...ends, 0, ...(plan === null ? [] : [plan.markAtM, plan.edgeAtM]), ...(next === null ? [] : [markAtM + next.ci95[1]]),
    ...(advice === null ? [] : [...advice.endsCi95, ...advice.suggestedCi95]),
  ];
  const low = Math.min(...reach) - 0.3;
  const high = Math.max(...reach) + 0.5;
  const x = scaleLinear([low, high], [LEFT, width - 6]);
  const lanes = withHeadings(traces);
  const floorY = 10 + lanes.length * LANE + 34;
  const height = floorY + 82;
  const everyM = (high - low) * 36 > width - LEFT ? 2 : 1;
  const ticks = Array.from({ length: Math.floor(high) - Math.ceil(low) + 1 }, (_, i) => Math.ceil(low) + i);
  return (
    <div ref={box} className={styles['strip']}>
      <svg viewBox={`0 0 ${width} ${height}`} width="100%" height={height} role="img" aria-label={words(traces, plan, advice)}>
        <defs>
          <pattern id={hatch} width="8" height="8" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <path d="M0 0V8" className={styles['hatch']} />
          </pattern>
        </defs>
        {plan !== null && (
          <>
            {plan.keepFreeM > 0 && <rect x={x(plan.edgeAtM - plan.keepFreeM)} y="0" width={x(plan.edgeAtM) - x(plan.edgeAtM - plan.keepFreeM)} height={floorY} className={styles['keepFree']} />}
            <rect x={x(plan.edgeAtM)} y="0" width={Math.max(width - x(plan.edgeAtM), 0)} height={floorY + 34} fill={`url(#${hatch})`} />
            <path d={`M${x(plan.edgeAtM)} 0V${floorY + 10}`} className={styles['edge']} />
          </>
        )}
        {lanes.map((lane, i) => {
          const y = 10 + i * LANE + LANE / 2;
          if (lane.kind === 'heading') {
            return <text key={`heading ${i}`} x="2" y={y + 7} className={lane.start === start ? styles['headingOn'] : styles['heading']}>{START_NAMES[lane.start]}</text>;
          }
          const { trace } = lane;
          const isOn = trace.start === start;
          return (
            <g key={trace.repId} className={isOn ? styles['laneOn'] : styles['lane']}>
              <text x="2" y={y + 5} className={styles['number']}>{trace.number}</text>
              <path d={`M${x(trace.markM)} ${y}H${x(trace.handsM ?? trace.plantM ?? trace.stepsM.at(-1) ?? trace.markM)}`} className={styles['path']} />
              <path d={`M${x(trace.markM)} ${y - 9}V${y + 9}M${x(trace.markM)} ${y - 6}h-7`} className={styles['mark']} />
              {trace.stepsM.map((m) => <path key={m} d={`M${x(m) - 7} ${y}H${x(m)}`} className={styles['foot']} />)}
              {trace.plantM !== null && <path d={`M${x(trace.plantM) - 10} ${y}H${x(trace.plantM)}`} className={styles['plant']} />}
              {trace.handsM !== null && <path d={`M${x(trace.handsM) - 5} ${y - 8}v10m5 -12v12m5 -10v10`} className={styles['hand']} />}
            </g>
          );
        })}
        <path d={`M0 ${floorY}H${width}`} className={styles['floor']} />
        {ticks.map((m) => (
          <g key={m}>
            <path d={`M${x(m)} ${floorY}v9`} className={styles['tick']} />
            {m % everyM === 0 && x(m) < width - 16 && <text x={x(m)} y={floorY + 26} className={styles['metre']}>{m === 0 ? '0' : `${m} m`}</text>}
          </g>
        ))}
        {next !== null && (
          <g className={styles['next']}>
            <path d={`M${x(markAtM + next.ci95[0])} ${floorY - 12}H${x(markAtM + next.ci95[1])}M${x(markAtM + next.ci95[0])} ${floorY - 18}v12M${x(markAtM + next.ci95[1])} ${floorY - 18}v12`} className={styles['bar']} />
            <circle cx={x(markAtM + next.value)} cy={floorY - 12} r="5" />
            <text x={x(markAtM + next.value)} y={floorY - 24} className={styles['say']}>hands next</text>
          </g>
        )}
        {advice !== null && (
          <>
            <g className={advice.verdict === 'fits' ? styles['next'] : styles['warn']}>
              <path d={`M${x(advice.endsCi95[0])} ${floorY - 12}H${x(advice.endsCi95[1])}M${x(advice.endsCi95[0])} ${floorY - 18}v12M${x(advice.endsCi95[1])} ${floorY - 18}v12`} className={styles['bar']} />
              <path d={`M${x(advice.endsAtM) - 8} ${floorY - 20}h16l-8 12z`} />
              <text x={Math.min(x(advice.endsAtM), width - 40)} y={floorY - 26} className={styles['say']}>pass ends</text>
            </g>
            <g className={styles['suggested']}>
              <path d={`M${x(advice.suggestedMarkAtM)} ${floorY + 32}V${floorY + 56}m0 -20h-12`} />
              <path d={`M${x(advice.suggestedCi95[0])} ${floorY + 56}H${x(advice.suggestedCi95[1])}m0 -5v10`} className={styles['bar']} />
              <text x={Math.max(x(advice.suggestedMarkAtM), 50)} y={floorY + 76} className={styles['say']}>mark next</text>
            </g>
          </>
        )}
      </svg>
      <p className={styles['key']} aria-hidden="true">
        <span><svg viewBox="0 0 20 20"><path d="M12 1V19M12 4H4" className={styles['mark']} /></svg>mark</span>
        <span><svg viewBox="0 0 20 20"><path d="M5 10H14" className={styles['foot']} /></svg>step</span>
        <span><svg viewBox="0 0 20 20"><path d="M4 10H16" className={styles['plant']} /></svg>lunge</span>
        <span><svg viewBox="0 0 20 20"><path d="M5 5v10M10 3v12M15 5v10" className={styles['hand']} /></svg>hands</span>
        {plan !== null && <span><svg viewBox="0 0 20 20"><path d="M10 0V20" className={styles['edge']} /></svg>edge of the mat</span>}
      </p>
    </div>
  );
}

type Lane = { readonly kind: 'heading'; readonly start: StartId } | { readonly kind: 'rep'; readonly trace: FloorTrace };

/** A lane for every rep, with the name of the start before each change of it. */
function withHeadings(traces: readonly FloorTrace[]): readonly Lane[] {
  return traces.flatMap((trace, i): Lane[] => [
    ...(trace.start === traces[i - 1]?.start ? [] : [{ kind: 'heading' as const, start: trace.start }]),
    { kind: 'rep', trace },
  ]);
}

function words(traces: readonly FloorTrace[], plan: FloorPlan | null, advice: MarkAdvice | null): string {
  const edge = plan === null ? '' : ` The edge of the mat is at ${plan.edgeAtM.toFixed(2)} metres.`;
  const ends = advice === null ? '' : ` The next pass is expected to end at ${advice.endsAtM.toFixed(2)} metres.`;
  return `Floor strip with ${traces.length} ${traces.length === 1 ? 'rep' : 'reps'}.${edge}${ends} All figures are in the table below.`;
}
