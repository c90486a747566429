import { useState } from 'react';
import styles from './compare.module.css';
import analysis from '../analysis/analysis.module.css';
import buttons from '../parts/buttons.module.css';
import { repsOf } from '../../athletelog/index.ts';
import type { AthleteLog, Rep } from '../../athletelog/index.ts';
import { MEASURE_NAMES, UNIT_WORDS } from '../../cues/index.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import { START_IDS, START_NAMES, type StartId } from '../../starts/start.ts';
import { bareAmount, changeText, dayText, rangeText } from '../analysis/amounts.ts';
import { Empty } from '../analysis/empty.tsx';
import { Pick } from '../analysis/pick.tsx';
import { Tape } from '../analysis/tape.tsx';
import { Cautions } from '../parts/cautions.tsx';
import { proposedBlocks, repsAndGaps, toggleRep, type Blocks } from './choose-blocks.ts';
import { compareBlocks, headline, type ComparedMeasure } from './compare-blocks.ts';
import { contradictionWords, fasterFigure, fasterSentence, isShown, settleWords, smallestWords, verdictWord } from './compare-words.ts';
import { DifferenceDrawing, RepsDrawing } from './difference-drawing.tsx';

interface IsItFasterProps {
  readonly log: AthleteLog;
  readonly athleteId: string;
  /** Measures that answer the question, the first one measured on both sides counts. */
  readonly speedMeasures: readonly MeasureId[];
  /** Whether a rep's measurement is stored, so that it can be drawn. */
  readonly hasTrack: (repId: string) => boolean;
  readonly onSideBySide: (firstRepId: string, secondRepId: string) => void;
}

/** Whether an athlete's start became faster: two reps, or two blocks of reps, held against each other. */
export function IsItFaster({ log, athleteId, speedMeasures, hasTrack, onSideBySide }: IsItFasterProps) {
  const starts = START_IDS.filter((start) => repsOf(log, { athleteId, start }).length > 0);
  const usual = log.athletes.find((athlete) => athlete.id === athleteId)?.usualStart;
  const [chosenStart, setStart] = useState<StartId | null>(null);
  const start = chosenStart !== null && starts.includes(chosenStart) ? chosenStart : starts.find((each) => each === usual) ?? starts[0];
  const [chosen, setChosen] = useState<{ readonly start: StartId; readonly blocks: Blocks } | null>(null);
  const [judge, setJudge] = useState<MeasureId | null>(null);

  if (start === undefined || repsOf(log, { athleteId, start }).length < 2) {
    return (
      <Empty
        title="Two reps make a comparison"
        todo="Save two reps of the same start: film one, open the clip, save it to the athlete, and do the same with the next. After a drill, film the usual start again: then before and after stand here against each other."
      />
    );
  }
  const blocks = chosen?.start === start ? chosen.blocks : proposedBlocks(log, athleteId, start);
  const repOf = (id: string): Rep[] => log.reps.filter((rep) => rep.id === id);
  const [before, after] = [blocks.before.flatMap(repOf), blocks.after.flatMap(repOf)];
  const compared = compareBlocks(log, athleteId, start, before, after);
  const head = headline(compared, judge === null ? speedMeasures : [judge, ...speedMeasures]);
  const inOrder = head === null ? compared : [head, ...compared.filter((each) => each !== head)];
  const isSingle = before.length === 1 && after.length === 1;
  const speeds = compared.filter((each) => speedMeasures.includes(each.id));
  const isChosen = before.length > 0 && after.length > 0;
  const settle = head === null ? '' : settleWords(head);
  const against = head === null ? null : contradictionWords(compared, head);
  const days = new Set([...before, ...after].map((rep) => rep.sessionId)).size;
  // The last rep of each side that can be drawn.
  const [first, second] = [before.findLast((rep) => hasTrack(rep.id)), after.findLast((rep) => hasTrack(rep.id))];
  return (
    <div className={analysis['screen']}>
      {isChosen ? (
        <Tape label="Is it faster?" say={fasterSentence(head, isSingle)} figure={head === null ? null : fasterFigure(head)}>
          {settle !== '' && <p className={analysis['figure']}>{settle}</p>}
          {against !== null && <p className={analysis['figure']}>{against}</p>}
        </Tape>
      ) : (
        <Tape label="Is it faster?" say="Choose reps on both sides." />
      )}
      <div className={analysis['carpet']}>
        <div className={analysis['picks']}>
          <Pick label="Start" value={start} options={starts.map((each) => ({ value: each, word: START_NAMES[each] }))} onPick={setStart} />
          {speeds.length > 1 && head !== null && (
            <Pick label="Judged by" value={head.id} options={speeds.map((each) => ({ value: each.id, word: MEASURE_NAMES[each.id] }))} onPick={setJudge} />
          )}
          {first !== undefined && second !== undefined && (
            <button type="button" className={buttons['quiet']} onClick={() => { onSideBySide(first.id, second.id); }}>{isSingle ? 'See them side by side' : `See rep ${first.number} and rep ${second.number} side by side`}</button>
          )}
        </div>
        <RepChoice
          log={log} athleteId={athleteId} start={start} blocks={blocks}
          onBlocks={(next) => { setChosen({ start, blocks: next }); }}
        />
      </div>
      <div className={analysis['body']}>
        {isChosen && inOrder.map((measure) => <MeasureRow key={measure.id} measure={measure} isHead={measure === head} />)}
        {isChosen && compared.length === 0 && <p className={analysis['text']}>None of the compared measures was measured on both sides. Film from the side, at 60 frames a second or more, and say how the clip was filmed.</p>}
        {isChosen && compared.length > 0 && (
          <p className={analysis['soft']}>
            Rings are the reps before, full marks the reps after. A bar is a 95 % interval: the true difference lies in it 19 times in 20.
            Shaded: changes of one rep against one that are too small to tell from chance.
            A change can have other causes than the drill, such as warming up or tiring.
            {days > 1 && ' These reps are of different days: another place of the camera can shift the figures, and the interval does not hold that.'}
          </p>
        )}
        <Cautions start={start} />
      </div>
    </div>
  );
}

function MeasureRow({ measure, isHead }: { readonly measure: ComparedMeasure; readonly isHead: boolean }) {
  const mean = (side: ComparedMeasure['before']) => side.reduce((sum, each) => sum + each.value, 0) / side.length;
  const { value, ci95 } = measure.difference;
  return (
    <section className={isHead ? styles['head'] : styles['measure']} aria-label={MEASURE_NAMES[measure.id]}>
      <h2>{MEASURE_NAMES[measure.id]}</h2>
      <p className={styles['means']}>
        <span className={styles['number']}>{bareAmount(mean(measure.before), measure.unit)}</span>
        <span aria-hidden="true">→</span><span className="visually-hidden">then</span>
        <span className={styles['number']}>{bareAmount(mean(measure.after), measure.unit)}</span>
        <span>{UNIT_WORDS[measure.unit]}</span>
      </p>
      <div className={styles['reps']}><RepsDrawing measure={measure} names={['Before', 'After']} /></div>
      <p className={styles['change']}>
        <strong className={`${styles[measure.difference.verdict] ?? ''} ${styles[isShown(measure.difference) ? 'yes' : 'no'] ?? ''}`}>{verdictWord(measure)}</strong>{' '}
        {changeText(value, measure.unit)}<span className={styles['range']}> ({rangeText(ci95, measure.unit)})</span>
      </p>
      <div className={styles['difference']}><DifferenceDrawing measure={measure} /></div>
      <p className={styles['note']}>
        {smallestWords(measure)}
        {measure.leftOut > 0 && ` ${measure.leftOut} ${measure.leftOut === 1 ? 'rep has' : 'reps have'} no such figure and ${measure.leftOut === 1 ? 'is' : 'are'} left out.`}
      </p>
    </section>
  );
}

function RepChoice({ log, athleteId, start, blocks, onBlocks }: {
  readonly log: AthleteLog;
  readonly athleteId: string;
  readonly start: StartId;
  readonly blocks: Blocks;
  readonly onBlocks: (blocks: Blocks) => void;
}) {
  const sessions = log.sessions
    .filter((session) => repsOf(log, { athleteId, sessionId: session.id, start }).length > 0)
    .toSorted((a, b) => b.date.localeCompare(a.date));
  const sessionOf = (ids: readonly string[]) => log.reps.find((rep) => ids.includes(rep.id))?.sessionId;
  const latest = sessions[0]?.id ?? '';
  const [picked, setPicked] = useState<Partial<Record<'before' | 'after', string>>>({});
  const sides = [['before', 'Before'], ['after', 'After']] as const;
  return (
    <div className={styles['sides']}>
      {sides.map(([side, word]) => {
        const wanted = picked[side] ?? sessionOf(blocks[side]) ?? latest;
        const sessionId = sessions.some((session) => session.id === wanted) ? wanted : latest;
        return (
          <fieldset key={side} className={styles['side']}>
            <legend>{word}</legend>
            <Pick
              label={`Session ${side}`} value={sessionId}
              options={sessions.map((session) => ({ value: session.id, word: dayText(session.date) }))}
              onPick={(next) => {
                setPicked({ ...picked, [side]: next });
                onBlocks({ ...blocks, [side]: [] });
              }}
            />
            <div className={styles['line']}>
              {repsAndGaps(log, athleteId, sessionId, start).map((each, i) =>
                each.kind === 'gap' ? (
                  <span key={`gap ${i}`} className={styles['gap']}>{each.count} × {START_NAMES[each.start]}</span>
                ) : (
                  <button
                    key={each.rep.id} type="button" className={styles['rep']} aria-pressed={blocks[side].includes(each.rep.id)}
                    aria-label={`Rep ${each.rep.number}, ${word.toLowerCase()}`}
                    onClick={() => { onBlocks(toggleRep(blocks, side, each.rep.id)); }}
                  >
                    {each.rep.number}
                  </button>
                ),
              )}
            </div>
          </fieldset>
        );
      })}
    </div>
  );
}
