import { useRef } from 'react';
import styles from './stage.module.css';
import type { Reading } from '../../reading/reading.ts';
import type { Clip } from '../../state/session.ts';
import { FloorLine } from './floor-line.tsx';
import { Picture } from './picture.tsx';
import { StillsStrip } from './stills-strip.tsx';
import { TimeRail } from './time-rail.tsx';
import { Transport } from './transport.tsx';
import type { Stills } from './use-stills.ts';

interface StageProps {
  readonly clip: Clip;
  readonly durationS: number;
  readonly reading: Reading;
  readonly stills: Stills;
}

/** The clip, the floor line that runs on under it, the stills that hang from the line, and the time rail. */
export function Stage({ clip, durationS, reading, stills }: StageProps) {
  const picture = useRef<HTMLDivElement>(null);
  return (
    <section className={styles['stage']} aria-label="Clip">
      <div className={styles['frame']}>
        <div className={styles['picture']} ref={picture}>
          <Picture clip={clip} reading={reading} />
        </div>
        <FloorLine reading={reading} picture={picture} />
        <StillsStrip reading={reading} stills={stills} />
      </div>
      <div className={styles['controls']}>
        <Transport reading={reading} />
        <TimeRail clip={clip} reading={reading} durationS={durationS} />
      </div>
    </section>
  );
}
