import { useState } from 'react';
import styles from './ladder.module.css';
import analysis from '../analysis/analysis.module.css';
import { LADDER_CANNOT_SAY, ladderOf, SURFACE_IDS, SURFACE_NAMES, usualSpread, workOn, type AthleteLog, type Ladder, type Rung, type SurfaceId } from '../../athletelog/index.ts';
import type { Verdict } from '../../checker/finding.ts';
import { CAUTION_SHORT, MEASURE_NAMES, START_CAUTIONS, START_WORDS, VERDICT_WORDS } from '../../cues/index.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import { START_NAMES, type StartId } from '../../starts/start.ts';
import { BAND_UNITS, type Profile } from '../../tolerances/index.ts';
import { amount, dayText } from '../analysis/amounts.ts';
import { Tape } from '../analysis/tape.tsx';
import { Cautions } from '../parts/cautions.tsx';
import { VerdictMark, verdictClass } from '../parts/verdict-mark.tsx';
import { useTakeBack } from '../analysis/use-take-back.ts';
import { LadderEditor } from './ladder-editor.tsx';
import { ladderSentence, offWords, RULE_WORDS, SHAPES_WORDS, shapesSentence } from './ladder-words.ts';

interface LadderViewProps {
  readonly log: AthleteLog;
  readonly athleteId: string;
  readonly profile: Profile;
  readonly ladder: Ladder;
  /** Surfaces to begin with, for example those of today's session. */
  readonly surfaces: readonly SurfaceId[];
  readonly onTick: (start: StartId, isTicked: boolean) => void;
  readonly onLadder: (ladder: Ladder) => void;
}

const VERDICTS: readonly Verdict[] = ['in-band', 'near', 'out', 'too-close', 'not-measured'];
const SPREADS: readonly MeasureId[] = ['time.toHands', 'launch.hipSpeed', 'mark.toHands'];

/** The six starts of one athlete in order: what the measures say about each, what they cannot say, the rules of the surface, and what the coach has ticked off. */
export function LadderView({ log, athleteId, profile, ladder, surfaces: first, onTick, onLadder }: LadderViewProps) {
  const [surfaces, setSurfaces] = useState<readonly SurfaceId[]>(first);
  const athlete = log.athletes.find((each) => each.id === athleteId);
  const rungs = ladderOf(log, athleteId, profile, ladder, surfaces);
  const next = workOn(rungs.filter((rung) => rung.reps > 0));
  const edit = useTakeBack(ladder, onLadder);
  const swap = (start: StartId, by: 1 | -1) => {
    const order = [...ladder.order];
    const from = order.indexOf(start);
    const other = order[from + by];
    if (other === undefined) return;
    order[from] = other;
    order[from + by] = start;
    edit.change({ ...ladder, order });
  };
  return (
    <div className={analysis['screen']}>
      <Tape
        label="Ladder"
        say={ladderSentence(rungs, ladder)}
        figure={next === null ? CAUTION_SHORT : `${[shapesSentence(next, ladder), offWords(next)].filter((part) => part !== '').join(' ')} Which start comes next, a qualified coach decides.`}
      />
      <div className={analysis['carpet']}>
        <fieldset className={styles['surfaces']}>
          <legend>Where you tumble</legend>
          {SURFACE_IDS.map((surface) => (
            <button
              key={surface} type="button" aria-pressed={surfaces.includes(surface)}
              onClick={() => { setSurfaces(surfaces.includes(surface) ? surfaces.filter((each) => each !== surface) : [...surfaces, surface]); }}
            >
              {SURFACE_NAMES[surface]}
            </button>
          ))}
        </fieldset>
      </div>
      <div className={analysis['body']}>
        <ol className={styles['ladder']} aria-label="Starts, easiest first">
          {rungs.map((rung, i) => (
            <RungItem
              key={rung.start} rung={rung} ladder={ladder} log={log} athleteId={athleteId} ticked={athlete?.ticks.find((tick) => tick.start === rung.start)?.date ?? null}
              isLast={i === rungs.length - 1} onTick={onTick} onMove={swap}
            />
          ))}
        </ol>
        <section className={styles['cannot']} aria-label="What no measure can say">
          <h2>What no measure can say</h2>
          <ul>{LADDER_CANNOT_SAY.map((line) => <li key={line}>{line}</li>)}</ul>
        </section>
        <p className={analysis['soft']}>
          Looked at are the last {ladder.lastReps} filmed reps of a start, from {ladder.fewestReps} reps on; “hold” means that at least {Math.round(100 * ladder.holdShare)} % of the
          clear shapes lie in their band and none is off by habit. Spread is one standard deviation from rep to rep.
        </p>
        <LadderEditor ladder={ladder} edit={edit} />
        <Cautions />
      </div>
    </div>
  );
}

function RungItem({ rung, ladder, log, athleteId, ticked, isLast, onTick, onMove }: {
  readonly rung: Rung;
  readonly ladder: Ladder;
  readonly log: AthleteLog;
  readonly athleteId: string;
  readonly ticked: string | null;
  readonly isLast: boolean;
  readonly onTick: (start: StartId, isTicked: boolean) => void;
  readonly onMove: (start: StartId, by: 1 | -1) => void;
}) {
  const name = START_NAMES[rung.start];
  const total = VERDICTS.reduce((sum, verdict) => sum + rung.verdicts[verdict], 0);
  const spreads = SPREADS.flatMap((measure) => BAND_UNITS[measure].flatMap((unit) => {
    const spread = usualSpread(log, athleteId, rung.start, measure, unit, null);
    return spread === null ? [] : [`${MEASURE_NAMES[measure].toLowerCase()} ± ${amount(spread.sd, unit)}`];
  }));
  const caution = START_CAUTIONS[rung.start];
  return (
    <li className={styles['rung']}>
      <p className={styles['place']} aria-hidden="true">{rung.place}</p>
      <div className={styles['head']}>
        <h2>{name}</h2>
        <p className={styles['said']} data-shapes={rung.shapes}>{SHAPES_WORDS[rung.shapes]}</p>
      </div>
      <div className={styles['say']}>
        <p>{shapesSentence(rung, ladder)}</p>
        {rung.off.length > 0 && <p className={styles['off']}>{offWords(rung)}</p>}
        {total > 0 && (
          <p className={styles['verdicts']}>
            {VERDICTS.filter((verdict) => rung.verdicts[verdict] > 0).map((verdict) => (
              <span key={verdict} className={verdictClass(verdict)}><VerdictMark verdict={verdict} side="below" /> {rung.verdicts[verdict]} {VERDICT_WORDS[verdict].toLowerCase()}</span>
            ))}
          </p>
        )}
        {rung.reps > 0 && (
          <p className={analysis['soft']}>
            {rung.reps} {rung.reps === 1 ? 'rep' : 'reps'} in {rung.sessions} {rung.sessions === 1 ? 'session' : 'sessions'}{rung.lastDate !== null && `, last on ${dayText(rung.lastDate)}`}.
            {spreads.length > 0 && ` Spread: ${spreads.join(', ')}.`}
          </p>
        )}
      </div>
      <div className={styles['use']}>
        <p>{START_WORDS[rung.start].use}</p>
        {rung.rules.map((rule) => <p key={rule.id} className={styles['rule']}><b>{RULE_WORDS[rule.kind]}.</b> {rule.text}</p>)}
        {caution !== null && rung.rules.length === 0 && <p className={analysis['soft']}>{caution}</p>}
      </div>
      <div className={styles['coach']}>
        <label>
          <input type="checkbox" checked={ticked !== null} aria-label={`${name}: ticked off by the coach`} onChange={(event) => { onTick(rung.start, event.target.checked); }} />
          <span>{ticked === null ? 'Coach ticks off' : `Ticked off by the coach, ${dayText(ticked)}`}</span>
        </label>
        <span className={styles['move']}>
          <button type="button" aria-label={`${name} one place easier`} disabled={rung.place === 1} onClick={() => { onMove(rung.start, -1); }}>↑</button>
          <button type="button" aria-label={`${name} one place harder`} disabled={isLast} onClick={() => { onMove(rung.start, 1); }}>↓</button>
        </span>
      </div>
    </li>
  );
}
