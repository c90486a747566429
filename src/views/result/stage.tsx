import { useEffect, useRef, useState } from 'react';
import styles from './stage.module.css';
import type { Reading } from '../../reading/reading.ts';
import type { Clip } from '../../state/session.ts';
import { FloorBar } from './floor-bar.tsx';
import type { FloorDraft } from './floor-draft.ts';
import { FloorLine } from './floor-line.tsx';
import { Picture } from './picture.tsx';
import { SidesBar } from './sides-bar.tsx';
import { StillsStrip } from './stills-strip.tsx';
import { TimeRail } from './time-rail.tsx';
import { Transport } from './transport.tsx';
import type { Stills } from './use-stills.ts';

interface StageProps {
  readonly clip: Clip;
  readonly durationS: number;
  readonly reading: Reading;
  readonly stills: Stills;
  /** Taps on the floor that are being made; null when none are. */
  readonly floorDraft: FloorDraft | null;
  readonly onFloorDraft: (draft: FloorDraft | null) => void;
}

/** The clip, the floor line that runs on under it, the stills that hang from the line, and the time rail. */
export function Stage({ clip, durationS, reading, stills, floorDraft, onFloorDraft }: StageProps) {
  const picture = useRef<HTMLDivElement>(null);
  const [isCorrecting, setCorrecting] = useState(false);
  const isTapping = floorDraft !== null;
  useEffect(() => {
    if (isTapping) picture.current?.scrollIntoView({ block: 'nearest' });
  }, [isTapping]);
  return (
    <section className={styles['stage']} aria-label="Clip">
      <div className={styles['frame']}>
        <div className={styles['picture']} ref={picture}>
          <Picture clip={clip} reading={reading} floorDraft={floorDraft} onFloorDraft={onFloorDraft} isCorrecting={isCorrecting} onCorrecting={setCorrecting} />
        </div>
        {floorDraft !== null && (
          <FloorBar key={floorDraft.kind} clip={clip} reading={reading} draft={floorDraft} onChange={onFloorDraft} onEnd={() => { onFloorDraft(null); }} />
        )}
        {isCorrecting && !isTapping && <SidesBar clip={clip} reading={reading} />}
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
