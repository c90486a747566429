import { useRef } from 'react';
import styles from './side-by-side.module.css';
import { scaleLinear } from 'd3';
import type { Alignment } from '../../compare/index.ts';
import { MOMENT_WORDS } from '../../cues/index.ts';
import { MOMENT_IDS } from '../../phases/moment.ts';
import { useWidth } from '../analysis/use-width.ts';
import type { SideRep } from './side-by-side.tsx';

const TOP = 30;
const BOTTOM = 66;

/** Both reps' moments on two lines of one time, joined where they are the same moment: a slanting joint shows what comes earlier. */
export function MomentLines({ first, second, alignment, t, span, onTime }: {
  readonly first: SideRep;
  readonly second: SideRep;
  readonly alignment: Alignment;
  readonly t: number;
  readonly span: readonly [number, number];
  readonly onTime: (t: number) => void;
}) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box);
  const x = scaleLinear(span, [10, width - 10]);
  const common = first.reading.moments[alignment.at];
  const zero = common.found ? common.t : 0;
  const moments = MOMENT_IDS.flatMap((id) => {
    const [a, b] = [first.reading.moments[id], second.reading.moments[id]];
    if (!a.found || !b.found) return [];
    const laterS = alignment.moments.find((each) => each.id === id)?.laterS ?? 0;
    return [{ id, at: a.t - zero, then: b.t - zero - alignment.offsetS, laterS }];
  }).sort((a, b) => a.at - b.at);
  const words = moments.map((each) => `${MOMENT_WORDS[each.id].name} ${laterText(each.laterS)}`).join(', ');
  let labelled = -Infinity;
  return (
    <div ref={box} className={styles['moments']}>
      <svg
        viewBox={`0 0 ${width} 92`} width="100%" height="92" role="img" aria-label={`In the second rep: ${words}`}
        onClick={(event) => { onTime(Math.min(Math.max(x.invert(event.nativeEvent.offsetX), span[0]), span[1])); }}
      >
        <path d={`M0 ${TOP}H${width}`} className={styles['floor']} />
        <path d={`M0 ${BOTTOM}H${width}`} className={styles['floorPale']} />
        {moments.map((each) => {
          const hasRoom = x(each.at) - labelled > 62;
          if (hasRoom) labelled = x(each.at);
          return (
            <g key={each.id}>
              <path d={`M${x(each.at)} ${TOP - 7}V${TOP + 4}L${x(each.then)} ${BOTTOM - 4}V${BOTTOM + 7}`} className={each.id === alignment.at ? styles['jointOn'] : styles['joint']} />
              {hasRoom && (
                <>
                  <text x={x(each.at)} y={TOP - 12} className={styles['momentName']} textAnchor={x(each.at) < 40 ? 'start' : x(each.at) > width - 40 ? 'end' : 'middle'}>{MOMENT_WORDS[each.id].name}</text>
                  <text x={x(each.then)} y={BOTTOM + 22} className={styles['momentLater']} textAnchor={x(each.then) < 40 ? 'start' : x(each.then) > width - 40 ? 'end' : 'middle'}>{each.id === alignment.at ? '=' : laterShort(each.laterS)}</text>
                </>
              )}
            </g>
          );
        })}
        <path d={`M${x(t)} ${TOP - 10}V${BOTTOM + 10}`} className={styles['now']} />
      </svg>
    </div>
  );
}

function laterShort(laterS: number): string {
  return `${laterS < 0 ? '−' : '+'}${Math.abs(laterS).toFixed(2)} s`;
}

function laterText(laterS: number): string {
  if (Math.abs(laterS) < 5e-3) return 'at the same time';
  return `${Math.abs(laterS).toFixed(2)} s ${laterS > 0 ? 'later' : 'earlier'}`;
}
