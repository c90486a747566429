import { useState } from 'react';
import styles from './stage.module.css';
import type { Analysis, Reading } from '../../reading/reading.ts';
import type { Clip } from '../../state/session.ts';
import { FloorLine } from './floor-line.tsx';
import { Picture } from './picture.tsx';
import { StillsStrip } from './stills-strip.tsx';
import { TimeRail } from './time-rail.tsx';
import { Transport } from './transport.tsx';
import { TrimPart } from './trim-part.tsx';
import type { Stills } from './use-stills.ts';

interface StageProps {
  readonly clip: Clip;
  readonly analysis: Analysis;
  readonly reading: Reading;
  readonly stills: Stills;
}

/** The clip, the floor line that runs on under it, the stills that hang from the line, and the time rail. */
export function Stage({ clip, analysis, reading, stills }: StageProps) {
  const [isTrimming, setTrimming] = useState(false);
  const shape = {
    '--clip-width': reading.track.widthPx,
    '--clip-height': reading.track.heightPx,
  } as React.CSSProperties;
  return (
    <section className={styles['stage']} style={shape} aria-label="Clip">
      <div className={styles['frame']}>
        <Picture clip={clip} reading={reading} />
        <FloorLine reading={reading} />
        <StillsStrip reading={reading} stills={stills} />
      </div>
      <TimeRail clip={clip} reading={reading} durationS={analysis.clip.durationS} />
      <Transport reading={reading} isTrimming={isTrimming} onTrim={() => { setTrimming(!isTrimming); }} />
      {isTrimming && <TrimPart clip={clip} analysis={analysis} onDone={() => { setTrimming(false); }} />}
    </section>
  );
}
