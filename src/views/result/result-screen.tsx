import { useState } from 'react';
import styles from './result-screen.module.css';
import type { Analysis, Reading } from '../../reading/reading.ts';
import type { Clip } from '../../state/session.ts';
import { SaveRep } from '../save/save-rep.tsx';
import { Cautions } from '../parts/cautions.tsx';
import { useAfterFirst } from '../parts/use-after-first.ts';
import { AboutMeasuring } from './about-measuring.tsx';
import { CueTape } from './cue-tape.tsx';
import type { FloorDraft } from './floor-draft.ts';
import { MeasuresTable } from './measures-table.tsx';
import { NotMeasured } from './not-measured.tsx';
import { PeopleChoice } from './people-choice.tsx';
import { PictureNotes } from './picture-notes.tsx';
import { ReadAs } from './read-as.tsx';
import { ReadBefore } from './read-before.tsx';
import { Stage } from './stage.tsx';
import { useStills } from './use-stills.ts';

/** One rep, read: the cue, the clip on its floor line, and every measure. */
export function ResultScreen({ clip, analysis, reading, readMs }: { readonly clip: Clip; readonly analysis: Analysis; readonly reading: Reading; readonly readMs: number }) {
  const stills = useStills(clip.file, reading);
  const isAfter = useAfterFirst();
  const [floorDraft, setFloorDraft] = useState<FloorDraft | null>(null);
  const shape = {
    '--clip-width': reading.track.widthPx,
    '--clip-height': reading.track.heightPx,
  } as React.CSSProperties;
  return (
    <div className={styles['result']} style={shape}>
      <CueTape reading={reading} />
      <div className={styles['columns']}>
        <Stage clip={clip} durationS={analysis.clip.durationS} reading={reading} stills={stills} floorDraft={floorDraft} onFloorDraft={setFloorDraft} />
        <div className={styles['read']}>
          <ReadAs clip={clip} reading={reading} />
          <ReadBefore clip={clip} />
          <SaveRep clip={clip} analysis={analysis} reading={reading} />
          {clip.file !== null && <PeopleChoice file={clip.file} clip={clip} analysis={analysis} />}
          <PictureNotes analysis={analysis} reading={reading} />
          {isAfter && (
            <>
              <MeasuresTable clip={clip} reading={reading} />
              <NotMeasured reading={reading} />
              <AboutMeasuring clip={clip} analysis={analysis} reading={reading} readMs={readMs} onFloorDraft={setFloorDraft} />
              <Cautions start={reading.start.value} />
            </>
          )}
        </div>
      </div>
    </div>
  );
}
