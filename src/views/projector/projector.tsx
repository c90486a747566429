import { useEffect, useRef } from 'react';
import styles from './projector.module.css';
import type { Reading } from '../../reading/reading.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import { momentOfMeasure } from '../../state/moment-of-measure.ts';
import type { Clip } from '../../state/session.ts';
import { bandText, MEASURE_NAMES, MOMENT_WORDS, noCueWords } from '../../cues/index.ts';
import { figureParts, verdictText } from '../figure-parts.ts';
import { VerdictMark, verdictClass } from '../parts/verdict-mark.tsx';
import { Gauge } from '../result/gauge.tsx';
import { Picture } from '../result/picture.tsx';
import { useSession, useSessionState } from '../session-context.ts';

/** The figure that the room sees: the measure pointed out, else the leading cue's, else the first measured one of the moment. */
function figureShown(reading: Reading, moment: string, pointed: MeasureId | null): MeasureId | null {
  if (pointed !== null) return pointed;
  const lead = reading.cues[0]?.measure;
  if (lead !== undefined && momentOfMeasure(lead) === moment) return lead;
  const ids = Object.keys(reading.measures) as MeasureId[];
  return ids.find((id) => momentOfMeasure(id) === moment && reading.measures[id]?.measured === true) ?? null;
}

/** For the whole room: the picture, the cue and one figure. */
export function Projector({ clip, reading }: { readonly clip: Clip; readonly reading: Reading }) {
  const session = useSession();
  const moment = useSessionState((state) => state.moment);
  const pointed = useSessionState((state) => state.measure);
  const leave = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    leave.current?.focus();
    const found = reading.moments[session.store.getState().moment];
    if (found.found) session.playhead.seek(found.t);
  }, [session, reading]);
  const id = figureShown(reading, moment, pointed);
  const measure = id === null ? undefined : reading.measures[id];
  const finding = reading.findings.find((each) => each.measure === id);
  const shape = {
    '--clip-width': reading.track.widthPx,
    '--clip-height': reading.track.heightPx,
  } as React.CSSProperties;
  return (
    <main className={styles['room']} style={shape}>
      <h1 className={styles['cue']}>{reading.cues[0]?.text ?? noCueWords(reading.findings)}</h1>
      <div className={styles['frame']}>
        <Picture clip={clip} reading={reading} projected={{ only: id }} />
      </div>
      <div className={styles['figure']}>
        <p className={styles['moment']}>{MOMENT_WORDS[moment].name}</p>
        {id !== null && measure?.measured === true && (
          <>
            <p className={styles['name']}>{MEASURE_NAMES[id]}</p>
            <p className={styles['number']}>{figureParts(measure).number}</p>
            <p className={styles['margin']}>{figureParts(measure).rest}</p>
            {finding !== undefined && finding.verdict !== 'not-measured' && (
              <>
                {measure.unit !== 'side' && measure.unit !== 'count' && <Gauge finding={finding} />}
                <p className={styles['aim']}>aim {bandText(finding.band, measure.unit)}</p>
                <p className={`${styles['verdict'] ?? ''} ${verdictClass(finding.verdict)}`}>
                  <VerdictMark verdict={finding.verdict} side={finding.side} />
                  {verdictText(finding)}
                </p>
              </>
            )}
          </>
        )}
        <button ref={leave} type="button" className={styles['leave']} onClick={() => { session.setProjecting(false); }}>
          Leave (Esc)
        </button>
      </div>
    </main>
  );
}
