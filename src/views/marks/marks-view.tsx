import { useState } from 'react';
import styles from './marks.module.css';
import analysis from '../analysis/analysis.module.css';
import { repsOf } from '../../athletelog/index.ts';
import type { AthleteLog } from '../../athletelog/index.ts';
import type { FloorPlan } from '../../compare/index.ts';
import { MEASURE_NAMES } from '../../cues/index.ts';
import type { Reading } from '../../reading/reading.ts';
import { START_IDS, START_NAMES, type StartId } from '../../starts/start.ts';
import { AmountField } from '../analysis/amount-field.tsx';
import { Empty } from '../analysis/empty.tsx';
import { Pick } from '../analysis/pick.tsx';
import { Tape } from '../analysis/tape.tsx';
import { WideBox } from '../analysis/wide-box.tsx';
import { Cautions } from '../parts/cautions.tsx';
import { floorTraces } from './floor-trace.ts';
import { advice as adviceOf, heldLengths, heldMark, isClearlyBest, markHolds, type MarkHold } from './marks-model.ts';
import { MarksStrip } from './marks-strip.tsx';
import { driftWords, markFigure, markSentence, suggestedWords } from './marks-words.ts';

/** What stands in the fields before the coach has written anything; no advice is given on it. */
const FIRST_PLAN: FloorPlan = { markAtM: 0, edgeAtM: 12, passLengthM: 6, passLengthSdM: 0.2, keepFreeM: 0.5 };

const FIELDS: readonly { readonly key: keyof FloorPlan; readonly label: string; readonly max: number; readonly hint: string }[] = [
  { key: 'markAtM', label: 'Mark at', max: 60, hint: 'start toe, from your zero' },
  { key: 'edgeAtM', label: 'Edge of the mat at', max: 80, hint: 'the far end, from the same zero' },
  { key: 'passLengthM', label: 'Pass, hands to end', max: 40, hint: 'from the first hands to where it stops' },
  { key: 'passLengthSdM', label: 'give or take', max: 5, hint: 'how much that varies, 2 of 3 passes' },
  { key: 'keepFreeM', label: 'Keep free', max: 5, hint: 'room before the edge' },
];

interface MarksViewProps {
  readonly log: AthleteLog;
  readonly athleteId: string;
  readonly sessionId: string;
  /** The floor as the coach measured it on that day; null when nothing was written yet. */
  readonly plan: FloorPlan | null;
  readonly onPlan: (plan: FloorPlan) => void;
  /** Readings of stored tracks by rep, for places that the stored measures do not hold. */
  readonly readings: ReadonlyMap<string, Reading>;
}

/** Whether the marks hold and the pass fits on the floor. */
export function MarksView({ log, athleteId, sessionId, plan, onPlan, readings }: MarksViewProps) {
  const reps = repsOf(log, { athleteId, sessionId });
  const starts = START_IDS.filter((start) => reps.some((rep) => rep.start === start));
  const usual = log.athletes.find((athlete) => athlete.id === athleteId)?.usualStart;
  const [chosen, setStart] = useState<StartId | null>(null);
  const start = chosen !== null && starts.includes(chosen) ? chosen : starts.find((each) => each === usual) ?? starts[0];
  if (start === undefined) {
    return <Empty title="No rep on this floor yet" todo="Save a rep of this session. With the athlete’s height entered, the distance from mark to hands is in metres; a distance measured by tape counts as well." />;
  }
  const held = heldMark(log, athleteId, sessionId, start);
  const found = adviceOf(held, plan);
  const traces = floorTraces(log, athleteId, sessionId, plan?.markAtM ?? 0, readings);
  const lengths = heldLengths(log, athleteId, sessionId, start);
  const holds = markHolds(log, athleteId);
  return (
    <div className={analysis['screen']}>
      <Tape label="Marks" say={markSentence(held, found, plan)} figure={held === null ? 'Enter the height of the athlete, or the distance from mark to hands by tape; then marks are in metres.' : markFigure(held, found)}>
        {found !== null && plan !== null && <p className={analysis['figure']}>{suggestedWords(found, plan)}</p>}
      </Tape>
      <div className={analysis['carpet']}>
        <div className={analysis['picks']}>
          <Pick label="Start" value={start} options={starts.map((each) => ({ value: each, word: START_NAMES[each] }))} onPick={setStart} />
        </div>
        <MarksStrip traces={traces} plan={plan} held={held} advice={found} start={start} />
      </div>
      <div className={analysis['body']}>
        <section aria-label="The floor">
          <h2>The floor, in metres along the pass</h2>
          <div className={styles['plan']}>
            {FIELDS.map((field) => (
              <AmountField
                key={field.key} label={field.label} unit="m" value={(plan ?? FIRST_PLAN)[field.key]} min={0} max={field.max} step={0.05} hint={field.hint}
                onAmount={(value) => { onPlan({ ...(plan ?? FIRST_PLAN), [field.key]: value }); }}
              />
            ))}
          </div>
          {plan === null && (
            <p className={analysis['text']}>
              Write where the mark and the edge are: then it is said whether the next pass fits.{' '}
              <button type="button" className={analysis['link']} onClick={() => { onPlan(FIRST_PLAN); }}>These figures are right</button>
            </p>
          )}
        </section>
        {lengths.length > 0 && (
          <WideBox label={`Spread and drift, ${START_NAMES[start]}`}>
            <table className={analysis['table']}>
              <caption>Does it hold? {START_NAMES[start]}, this session</caption>
              <thead>
                <tr>
                  <th scope="col">Length</th><th scope="col">Mean ± spread</th><th scope="col">Drift</th>
                </tr>
              </thead>
              <tbody>
                {lengths.map(({ measure, unit, drift }) => (
                  <tr key={measure}>
                    <th scope="row">{MEASURE_NAMES[measure]}</th>
                    <td className={styles['mean']}>{drift.mean.toFixed(2)} ± {(drift.spreadSd ?? 0).toFixed(2)} {unit === 'm' ? 'm' : 'legs'}<span className={analysis['small']}>, {drift.count} reps</span></td>
                    <td>
                      {driftWords(drift, unit === 'm' ? 'm' : 'leg lengths')}
                      {drift.perRep !== null && drift.perRepCi95 !== null && <span className={analysis['small']}> {signed(drift.perRep)} a rep, 95 % {signed(drift.perRepCi95[0])} to {signed(drift.perRepCi95[1])}</span>}
                    </td>
                  </tr>
                ))}
              </tbody>
            </table>
          </WideBox>
        )}
        <Holds holds={holds} />
        <details className={analysis['behind']}>
          <summary>Every rep in metres</summary>
          <WideBox label="Every rep in metres">
            <table className={analysis['table']}>
              <thead>
                <tr><th scope="col">Rep</th><th scope="col">Start</th><th scope="col" className={analysis['number']}>Mark</th><th scope="col" className={analysis['number']}>Steps</th><th scope="col" className={analysis['number']}>Lunge</th><th scope="col" className={analysis['number']}>Hands</th></tr>
              </thead>
              <tbody>
                {traces.map((trace) => (
                  <tr key={trace.repId}>
                    <th scope="row">{trace.number}</th><td>{START_NAMES[trace.start]}</td>
                    <td className={analysis['number']}>{trace.markM.toFixed(2)}</td>
                    <td className={analysis['number']}>{trace.stepsM.length === 0 ? '–' : trace.stepsM.map((m) => m.toFixed(2)).join(', ')}</td>
                    <td className={analysis['number']}>{trace.plantM?.toFixed(2) ?? '–'}</td>
                    <td className={analysis['number']}>{trace.handsM?.toFixed(2) ?? '–'}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </WideBox>
          <p className={analysis['soft']}>The lunge is shown where the measurement of the clip is stored and the height is known. Steps come from there too, or from the step lengths and the leg length of that day.</p>
        </details>
        <Cautions start={start} />
      </div>
    </div>
  );
}

function Holds({ holds }: { readonly holds: readonly MarkHold[] }) {
  const [best, second] = holds;
  if (best === undefined) return null;
  const widest = Math.max(...holds.map((hold) => Math.min(hold.ci95[1], 3 * hold.sdM)));
  return (
    <section aria-label="Which start holds its mark">
      <h2>Which start holds its mark?</h2>
      <p className={analysis['text']}>
        {second === undefined
          ? `${START_NAMES[best.start]} is the only start with a known spread so far.`
          : isClearlyBest(holds)
            ? `${START_NAMES[best.start]} holds it best.`
            : `${START_NAMES[best.start]} scatters least so far, but not clearly less than ${START_NAMES[second.start].toLowerCase()}.`}
      </p>
      <ul className={styles['holds']}>
        {holds.map((hold) => {
          const at = (m: number) => `${(100 * Math.min(m, widest)) / widest}%`;
          return (
            <li key={hold.start}>
              <b>{START_NAMES[hold.start]}</b>
              <span className={styles['sd']}>± {hold.sdM.toFixed(2)} m</span>
              <svg width="100%" height="26" aria-hidden="true">
                <line x1="0" x2="100%" y1="13" y2="13" className={styles['base']} />
                <line x1={at(hold.ci95[0])} x2={at(hold.ci95[1])} y1="13" y2="13" className={styles['sdBar']} />
                <circle cx={at(hold.sdM)} cy="13" r="6" className={styles['sdPoint']} />
              </svg>
              <span className={analysis['small']}>95 % {hold.ci95[0].toFixed(2)} to {hold.ci95[1].toFixed(2)} m, {hold.reps} reps in {hold.sessions} {hold.sessions === 1 ? 'session' : 'sessions'}</span>
            </li>
          );
        })}
      </ul>
    </section>
  );
}

const signed = (value: number): string => `${value < 0 ? '−' : '+'}${Math.abs(value).toFixed(2)}`;
