import styles from './measures-table.module.css';
import type { MomentId } from '../../phases/moment.ts';
import type { PlacedJoint } from '../../pose/place-joints.ts';
import type { Reading } from '../../reading/reading.ts';
import { MEASURE_IDS, type Measure, type MeasureId } from '../../shapes/measure.ts';
import { momentOfMeasure } from '../../state/moment-of-measure.ts';
import { momentsInOrder } from '../../state/moments-in-order.ts';
import { nearestFrame } from '../../state/step-frame.ts';
import type { Clip } from '../../state/session.ts';
import { momentPhrase, valueText, MEASURE_NAMES, MOMENT_WORDS, VERDICT_WORDS, WHY_WORDS } from '../../cues/index.ts';
import { aimText, figureParts, verdictText } from '../figure-parts.ts';
import { VerdictMark, verdictClass } from '../parts/verdict-mark.tsx';
import { useSession, useSessionState } from '../session-context.ts';
import { Gauge } from './gauge.tsx';
import { freeJoints, freeMoment, moveMoment } from './move-moment.ts';

interface TableProps {
  readonly clip: Clip;
  readonly reading: Reading;
}

/** Every measure of the rep under the moment it belongs to: value and interval, its place on the band, the verdict. */
export function MeasuresTable({ clip, reading }: TableProps) {
  const selected = useSessionState((state) => state.moment);
  const ids = MEASURE_IDS.filter((id) => reading.measures[id] !== undefined);
  return (
    <table className={styles['table']} role="table">
      <caption className="visually-hidden">Measures of this rep</caption>
      <thead className="visually-hidden" role="rowgroup">
        <tr role="row">
          <th scope="col" role="columnheader">Measure</th>
          <th scope="col" role="columnheader">Value with its 95 % interval</th>
          <th scope="col" role="columnheader">On the band</th>
          <th scope="col" role="columnheader">Verdict</th>
        </tr>
      </thead>
      {momentsInOrder(reading.moments).map((moment) => (
        <MomentRows
          key={moment}
          clip={clip}
          reading={reading}
          moment={moment}
          isOn={moment === selected}
          ids={ids.filter((id) => momentOfMeasure(id) === moment)}
        />
      ))}
    </table>
  );
}

function MomentRows({ clip, reading, moment, isOn, ids }: {
  readonly clip: Clip;
  readonly reading: Reading;
  readonly moment: MomentId;
  readonly isOn: boolean;
  readonly ids: readonly MeasureId[];
}) {
  const session = useSession();
  const measure = useSessionState((state) => state.measure);
  const found = reading.moments[moment];
  return (
    <tbody className={isOn ? styles['on'] : styles['off']} role="rowgroup">
      <tr role="row" className={styles['heading']}>
        <th scope="rowgroup" role="rowheader" colSpan={4}>
          <div className={styles['moment']}>
            <button type="button" className={styles['jump']} onClick={() => { session.showMoment(moment); }}>
              {MOMENT_WORDS[moment].name}
            </button>
            <span className={styles['phrase']}>{momentPhrase(moment, found)}</span>
            {found.found && found.source === 'user' && <span className={styles['yours']}>placed by hand</span>}
          </div>
          {isOn && <Nudge clip={clip} reading={reading} moment={moment} />}
        </th>
      </tr>
      {ids.map((id) => {
        const one = reading.measures[id];
        return one === undefined ? null : (
          <MeasureRow key={id} id={id} measure={one} reading={reading} isPointedOut={measure === id} />
        );
      })}
    </tbody>
  );
}

function Nudge({ clip, reading, moment }: { readonly clip: Clip; readonly reading: Reading; readonly moment: MomentId }) {
  const session = useSession();
  const found = reading.moments[moment];
  const { times } = reading.track;
  const place = (t: number | undefined) => {
    if (t === undefined) return;
    session.state(clip.id, moveMoment(clip.history.present, moment, t));
    session.playhead.seek(t);
  };
  const { name } = MOMENT_WORDS[moment];
  const at = found.found ? nearestFrame(times, found.t) : null;
  const isHere = (joint: PlacedJoint) => at !== null && nearestFrame(times, joint.t) === at;
  const isJointPlaced = clip.history.present.joints?.some(isHere) === true;
  return (
    <div className={styles['nudge']}>
      {at !== null && (
        <>
          <button type="button" aria-label={`${name} one frame earlier`} onClick={() => { place(times[Math.max(at - 1, 0)]); }}>− frame</button>
          <button type="button" aria-label={`${name} one frame later`} onClick={() => { place(times[Math.min(at + 1, times.length - 1)]); }}>+ frame</button>
        </>
      )}
      <button type="button" aria-label={`${name} is the frame shown`} onClick={() => { place(times[nearestFrame(times, session.playhead.now().t)]); }}>is the frame shown</button>
      {isJointPlaced && (
        <button type="button" aria-label={`${name}: joints back to where they were found`} onClick={() => { session.state(clip.id, freeJoints(clip.history.present, isHere)); }}>joints back to where they were found</button>
      )}
      {found.found && found.source === 'user' && (
        <button type="button" aria-label={`${name} back to where it was found`} onClick={() => { session.state(clip.id, freeMoment(clip.history.present, moment)); }}>back to where it was found</button>
      )}
    </div>
  );
}

function MeasureRow({ id, measure, reading, isPointedOut }: {
  readonly id: MeasureId;
  readonly measure: Measure;
  readonly reading: Reading;
  readonly isPointedOut: boolean;
}) {
  const session = useSession();
  const finding = reading.findings.find((each) => each.measure === id);
  const judged = finding !== undefined && finding.value !== null ? finding : null;
  const parts = figureParts(measure);
  return (
    <tr role="row" className={isPointedOut ? styles['pointed'] : styles['row']}>
      <th scope="row" role="rowheader" className={styles['name']}>
        <button type="button" aria-pressed={isPointedOut} onClick={() => { session.showMoment(momentOfMeasure(id), id); }}>
          {MEASURE_NAMES[id]}
        </button>
      </th>
      {measure.measured ? (
        <>
          <td role="cell" className={styles['value']}>
            <span className={styles['number']}>{parts.number}</span>
            <span className={styles['margin']}>{parts.rest}</span>
            {reading.lengthsM[id] !== undefined && <span className={styles['margin']}>{valueText(reading.lengthsM[id].valueM, 'm')}</span>}
            {measure.source === 'user' && <span className={styles['yours']}>by hand</span>}
          </td>
          <td role="cell" className={styles['gauge']}>
            {judged !== null && measure.unit !== 'side' && measure.unit !== 'count' && <Gauge finding={judged} />}
            {judged !== null && measure.unit !== 'side' && <span className={styles['band']}>aim {aimText(judged.band, measure.unit)}</span>}
          </td>
          <td role="cell" className={styles['verdict']}>
            {judged === null ? (
              <span className={styles['plain']}>{finding === undefined ? 'not judged' : 'cannot be compared: its band is in another unit'}</span>
            ) : (
              <span className={`${styles['word'] ?? ''} ${verdictClass(judged.verdict)}`}>
                <VerdictMark verdict={judged.verdict} side={judged.side} />
                {verdictText(judged)}
              </span>
            )}
          </td>
        </>
      ) : (
        <td role="cell" className={styles['why']} colSpan={3} title={WHY_WORDS[measure.why].reason}>
          <span className={`${styles['word'] ?? ''} ${verdictClass('not-measured')}`}>
            <VerdictMark verdict="not-measured" side={null} />
            {VERDICT_WORDS['not-measured']}
          </span>
           {WHY_WORDS[measure.why].short}
        </td>
      )}
    </tr>
  );
}
