import { useEffect, useRef, useState } from 'react';
import styles from './people-choice.module.css';
import type { Analysis, PersonSighting } from '../../reading/reading.ts';
import type { Clip } from '../../state/session.ts';
import { useSession } from '../session-context.ts';

/** The probed frame that shows the most people; null when nobody but the athlete was seen. */
export function crowdedFrame(people: readonly PersonSighting[]): readonly PersonSighting[] | null {
  const frames = new Map<number, PersonSighting[]>();
  for (const person of people) frames.set(person.t, [...(frames.get(person.t) ?? []), person]);
  const most = [...frames.values()].sort((a, b) => b.length - a.length)[0];
  return most !== undefined && most.length > 1 ? most : null;
}

/** With several people in view: which one was measured, and a still to tap the right one. */
export function PeopleChoice({ file, clip, analysis }: { readonly file: File; readonly clip: Clip; readonly analysis: Analysis }) {
  const crowd = crowdedFrame(analysis.people);
  const [isOpen, setOpen] = useState(false);
  if (crowd === null) return null;
  return (
    <section className={styles['people']} aria-label="People in view">
      <button type="button" className={styles['ask']} aria-expanded={isOpen} onClick={() => { setOpen(!isOpen); }}>
        {crowd.length} people are in view. Is the right one measured?
      </button>
      {isOpen && <CrowdStill file={file} clip={clip} analysis={analysis} crowd={crowd} />}
    </section>
  );
}

function CrowdStill({ file, clip, analysis, crowd }: { readonly file: File; readonly clip: Clip; readonly analysis: Analysis; readonly crowd: readonly PersonSighting[] }) {
  const session = useSession();
  const canvas = useRef<HTMLCanvasElement>(null);
  const t = crowd[0]?.t ?? 0;
  useEffect(() => {
    const abort = new AbortController();
    void session.engine.stills(file, [t], 960, abort.signal).then((outcome) => {
      if (!outcome.ok) return;
      for (const { bitmap } of outcome.value) {
        const surface = canvas.current;
        if (surface !== null && !abort.signal.aborted) {
          surface.width = bitmap.width;
          surface.height = bitmap.height;
          surface.getContext('2d')?.drawImage(bitmap, 0, 0);
        }
        bitmap.close();
      }
    });
    return () => { abort.abort(); };
  }, [session, file, t]);
  const { widthPx, heightPx } = analysis.clip;
  return (
    <div className={styles['still']} style={{ aspectRatio: `${widthPx} / ${heightPx}` }}>
      <canvas ref={canvas} aria-hidden="true" />
      {crowd.map((person, index) => (
        <button
          key={index}
          type="button"
          className={person.isAthlete ? styles['athlete'] : styles['other']}
          aria-pressed={person.isAthlete}
          aria-label={person.isAthlete ? `Person ${index + 1}, measured` : `Measure person ${index + 1} instead`}
          style={{
            insetInlineStart: `${(100 * person.box.x) / widthPx}%`,
            insetBlockStart: `${(100 * person.box.y) / heightPx}%`,
            inlineSize: `${(100 * person.box.width) / widthPx}%`,
            blockSize: `${(100 * person.box.height) / heightPx}%`,
          }}
          onClick={() => {
            if (person.isAthlete) return;
            const athleteAt = { t, x: person.box.x + person.box.width / 2, y: person.box.y + person.box.height / 2 };
            session.rerun(clip.id, { athleteAt });
          }}
        />
      ))}
    </div>
  );
}
