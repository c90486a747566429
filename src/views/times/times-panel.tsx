import { useState } from 'react';
import styles from './times-panel.module.css';
import { fileName, trackCsv } from '../../export/index.ts';
import { profileRows } from '../../reading/profile-rows.ts';
import type { Analysis } from '../../reading/reading.ts';
import type { MachineLimit } from '../../../workers/machine-limit.ts';
import type { Clip } from '../../state/session.ts';
import { saveFile } from '../parts/save-file.ts';
import { useSession } from '../session-context.ts';
import { framesWords, limitWords, machineWords, timesText, type TimesFacts } from './times-text.ts';

/** Where the milliseconds went, for whoever makes it faster; folded away until it is asked for. */
export function TimesPanel({ clip, analysis, readMs }: { readonly clip: Clip; readonly analysis: Analysis; readonly readMs: number }) {
  const [isOpen, setOpen] = useState(false);
  return (
    <details className={styles['times']} onToggle={(event) => { setOpen(event.currentTarget.open); }}>
      <summary>Where the time went</summary>
      {isOpen && <Times clip={clip} analysis={analysis} readMs={readMs} />}
    </details>
  );
}

function Times({ clip, analysis, readMs }: { readonly clip: Clip; readonly analysis: Analysis; readonly readMs: number }) {
  const { engine, drawTimes } = useSession();
  const [limit, setLimit] = useState<MachineLimit | null>(null);
  const [state, setState] = useState<'idle' | 'timing' | 'copied'>('idle');
  const { profile } = analysis;
  const threads = (navigator as { readonly hardwareConcurrency?: number }).hardwareConcurrency ?? null;
  const facts: TimesFacts = { readMs, drawMs: drawTimes.medianMs(), measuredAt: clip.measuredAt, threads, limit };
  const clipboard = (navigator as { readonly clipboard?: Clipboard }).clipboard;
  const findLimit = async () => {
    setState('timing');
    const { backend } = analysis.track;
    const found = await engine.limit?.(backend === 'webgpu' || backend === 'webgl' ? backend : 'wasm');
    setState('idle');
    if (found?.ok === true) setLimit(found.value);
  };
  return (
    <div className={styles['sheet']}>
      <p className={styles['note']}>{clip.measuredAt === null ? 'Measured just now.' : 'Opened from this device, nothing was measured now: the times are those of the first time.'}</p>
      <table className={styles['table']}>
        <thead>
          <tr><th scope="col">Step</th><th scope="col">ms</th><th scope="col">ms a frame</th></tr>
        </thead>
        <tbody>
          {profileRows(profile, readMs).map(({ what, ms, perFrameMs }) => (
            <tr key={what}>
              <th scope="row">{what}</th>
              <td>{ms.toFixed(0)}</td>
              <td>{perFrameMs?.toFixed(1)}</td>
            </tr>
          ))}
          {facts.drawMs !== null && <tr><th scope="row">draw on the picture, once</th><td>{facts.drawMs.toFixed(1)}</td><td /></tr>}
        </tbody>
        <tfoot>
          <tr><th scope="row">from the file to the track, by the clock</th><td>{profile.totalMs.toFixed(0)}</td><td>{(profile.totalMs / Math.max(profile.frames, 1)).toFixed(1)}</td></tr>
        </tfoot>
      </table>
      <p className={styles['note']}>
        {framesWords(analysis)}; {(analysis.part.toS - analysis.part.fromS).toFixed(1)} s of {analysis.clip.durationS.toFixed(1)} s were measured.
        {' '}{machineWords(analysis, threads)}. Steps that workers share are summed over them.
      </p>
      {limit !== null && <p className={styles['note']}>{limitWords(limit)}</p>}
      <p className={styles['ways']}>
        {clipboard !== undefined && (
          <button type="button" onClick={() => { void clipboard.writeText(timesText(analysis, facts)).then(() => { setState('copied'); }); }}>
            {state === 'copied' ? 'Copied' : 'Copy as text'}
          </button>
        )}
        <button type="button" onClick={() => { saveFile(trackCsv(analysis.track), fileName(['lungeline', 'joints', analysis.clip.fileName], 'csv'), 'text/csv'); }}>
          Joints as a table (CSV)
        </button>
        {engine.limit !== undefined && (
          <button type="button" disabled={state === 'timing'} onClick={() => { void findLimit(); }}>
            {state === 'timing' ? 'Timing this machine …' : 'What this machine could do'}
          </button>
        )}
      </p>
    </div>
  );
}
