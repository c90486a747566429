import { useId } from 'react';
import buttons from '../parts/buttons.module.css';
import { CLIP_TYPES } from '../first/clip-types.ts';
import { useSession, useSessionState } from '../session-context.ts';
import { takenFiles } from '../parts/taken-files.ts';

/** After a saved rep, the next one under the same thumb: the next clip in line that is not saved yet, or a clip to open. */
export function NextClip({ clipId }: { readonly clipId: string }) {
  const session = useSession();
  const clips = useSessionState((state) => state.clips);
  const inputId = useId();
  const here = clips.findIndex((clip) => clip.id === clipId);
  const next = [...clips.slice(here + 1), ...clips.slice(0, Math.max(here, 0))].find((clip) => clip.saved === null && clip.stage.kind !== 'failed');
  if (next !== undefined) {
    return <button type="button" className={buttons['tape']} onClick={() => { session.select(next.id); }}>Next clip</button>;
  }
  return (
    <label htmlFor={inputId} className={buttons['tape']}>
      Open the next clip
      <input
        id={inputId}
        className="visually-hidden"
        type="file"
        accept={CLIP_TYPES}
        multiple
        onChange={(event) => {
          const files = takenFiles(event.target);
          if (files.length > 0) session.open(files);
        }}
      />
    </label>
  );
}
