import { useEffect, useMemo, useRef, useState } from 'react';
import styles from './side-by-side.module.css';
import analysis from '../analysis/analysis.module.css';
import buttons from '../parts/buttons.module.css';
import { alignRepetitions, type Alignment } from '../../compare/index.ts';
import { MEASURE_NAMES, MOMENT_WORDS, valueText, WHY_WORDS } from '../../cues/index.ts';
import type { MomentId } from '../../phases/moment.ts';
import type { Reading } from '../../reading/reading.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import { momentOfMeasure } from '../../state/moment-of-measure.ts';
import { changeText, rangeText } from '../analysis/amounts.ts';
import { Empty } from '../analysis/empty.tsx';
import { Tape } from '../analysis/tape.tsx';
import { Cautions } from '../parts/cautions.tsx';
import { Icon } from '../parts/icon.tsx';
import { MomentLines } from './moment-lines.tsx';
import { SideMeasures } from './side-measures.tsx';
import { SideStage } from './side-stage.tsx';
import { commonTimes, sideMeasures, stepTo } from './side-model.ts';

/** One rep of the two: what it is called, what was read from it, and its clip if it was kept. */
export interface SideRep {
  readonly title: string;
  readonly reading: Reading;
  /** Object URL of the kept clip; null draws the athlete as a line figure on the floor. */
  readonly clipUrl: string | null;
}

const ALIGN_AT = ['launch', 'plant', 'hands'] as const satisfies readonly MomentId[];
const RATES = [[0.1, '⅒'], [0.25, '¼'], [1, '1']] as const;

/** Two reps in step: laid over each other in time at one moment, both moved by one control, what differs called out. */
export function SideBySide({ first, second, onBack }: { readonly first: SideRep; readonly second: SideRep; readonly onBack?: () => void }) {
  const usable: readonly (typeof ALIGN_AT)[number][] = ALIGN_AT.filter((id) => first.reading.moments[id].found && second.reading.moments[id].found);
  const [wanted, setWanted] = useState<(typeof ALIGN_AT)[number]>('launch');
  const at = usable.includes(wanted) ? wanted : usable[0];
  const back = onBack === undefined ? null : <button type="button" className={analysis['link']} onClick={onBack}>Back to the comparison</button>;
  if (at === undefined) {
    const missing = ALIGN_AT.map((id) => {
      const moment = [first, second].map((side) => side.reading.moments[id]).find((each) => !each.found);
      return moment === undefined ? '' : `${MOMENT_WORDS[id].name}: ${WHY_WORDS[moment.why].short}.`;
    });
    return (
      <Empty
        title="These two reps share no moment"
        todo={`To lie over each other both need a launch, a lunge or hands. ${missing.join(' ')} Open the rep and place the moment by hand.`}
        action={back}
      />
    );
  }
  const alignment = alignRepetitions(first.reading.moments, second.reading.moments, at);
  if (!alignment.aligned) throw new TypeError('an aligned moment was found in both reps');
  return <Aligned key={at} first={first} second={second} alignment={alignment.value} usable={usable} at={at} onAlign={setWanted} back={back} />;
}

function Aligned({ first, second, alignment, usable, at, onAlign, back }: {
  readonly first: SideRep;
  readonly second: SideRep;
  readonly alignment: Alignment;
  readonly usable: readonly (typeof ALIGN_AT)[number][];
  readonly at: (typeof ALIGN_AT)[number];
  readonly onAlign: (at: (typeof ALIGN_AT)[number]) => void;
  readonly back: React.ReactNode;
}) {
  const moment = first.reading.moments[at];
  const firstAtS = moment.found ? moment.t : 0;
  const times = useMemo(() => commonTimes(first.reading, second.reading, firstAtS, alignment), [first.reading, second.reading, firstAtS, alignment]);
  const measures = useMemo(() => sideMeasures(first.reading, second.reading), [first.reading, second.reading]);
  const [t, setT] = useState(0);
  const [isPlaying, setPlaying] = useState(false);
  const [rate, setRate] = useState(0.25);
  const [measure, setMeasure] = useState<MeasureId | null>(null);
  const [isOver, setOver] = useState(false);
  const [from = 0, to = 0] = [times[0], times.at(-1)];
  const step = (by: 1 | -1) => {
    setPlaying(false);
    setT((now) => stepTo(times, now, by));
  };
  usePlaying(isPlaying, rate, to, setT, setPlaying);

  const shown = measures.filter((each) => each.difference.verdict !== 'no-difference');
  const lead = shown[0];
  const firstT = firstAtS + t;
  const secondT = firstT + alignment.offsetS;
  const drawn = measure === null ? nearestMoment(first.reading, firstT) : momentOfMeasure(measure);
  const clips = (first.clipUrl === null ? 0 : 1) + (second.clipUrl === null ? 0 : 1);
  const isSlowed = [first, second].some((side) => side.reading.timeBase.kind === 'assumed');
  return (
    <div className={analysis['screen']}>
      <Tape
        label="What differs"
        say={lead === undefined ? 'No difference that these two clips can show.' : `${MEASURE_NAMES[lead.id]}: ${changeText(lead.difference.value, lead.unit)} in the second.`}
        figure={lead === undefined
          ? 'Every difference lies within the error of the measurement.'
          : `${valueText(lead.first, lead.unit)} and ${valueText(lead.second, lead.unit)}, 95 % interval of the difference ${rangeText(lead.difference.ci95, lead.unit)}.${shown.length > 1 ? ` ${shown.length - 1} more below.` : ''}`}
      />
      <div className={analysis['carpet']}>
        <div className={analysis['row']}>
          {back}
          <fieldset className={analysis['segments']}>
            <legend className="visually-hidden">In step at</legend>
            {usable.map((id) => (
              <button key={id} type="button" aria-pressed={id === at} onClick={() => { onAlign(id); }}>In step at {MOMENT_WORDS[id].name.toLowerCase()}</button>
            ))}
          </fieldset>
          <fieldset className={analysis['segments']}>
            <legend className="visually-hidden">Place of the two</legend>
            <button type="button" aria-pressed={!isOver} onClick={() => { setOver(false); }}>Side by side</button>
            <button type="button" aria-pressed={isOver} onClick={() => { setOver(true); }}>Over each other</button>
          </fieldset>
        </div>
        <div className={isOver ? styles['one'] : styles['two']}>
          {isOver ? (
            <SideStage
              label={`${first.title} in front, ${second.title} behind`} caption={<><b>{first.title}</b> bright, <b>{second.title}</b> pale behind</>}
              front={{ rep: first, t: firstT, atS: firstAtS }} behind={{ rep: second, t: secondT, atS: firstAtS + alignment.offsetS }} moment={drawn} measure={measure}
            />
          ) : (
            <>
              <SideStage label={first.title} caption={<b>{first.title}</b>} front={{ rep: first, t: firstT, atS: firstAtS }} behind={null} moment={drawn} measure={measure} />
              <SideStage label={second.title} caption={<b>{second.title}</b>} front={{ rep: second, t: secondT, atS: firstAtS + alignment.offsetS }} behind={null} moment={drawn} measure={measure} />
            </>
          )}
        </div>
        <div className={styles['controls']}>
          <button type="button" className={buttons['bare']} aria-label="One frame back, both" onClick={() => { step(-1); }}><Icon name="back" /></button>
          <button
            type="button" className={buttons['bare']} aria-label={isPlaying ? 'Pause both' : 'Play both'}
            onClick={() => {
              if (!isPlaying && t >= to - 1e-6) setT(from);
              setPlaying(!isPlaying);
            }}
          >
            <Icon name={isPlaying ? 'pause' : 'play'} />
          </button>
          <button type="button" className={buttons['bare']} aria-label="One frame on, both" onClick={() => { step(1); }}><Icon name="on" /></button>
          <fieldset className={styles['rates']}>
            <legend className="visually-hidden">Speed</legend>
            {RATES.map(([each, word]) => (
              <button key={each} type="button" aria-pressed={rate === each} onClick={() => { setRate(each); }}><span className="visually-hidden">Speed </span>{word}×</button>
            ))}
          </fieldset>
          <input
            type="range" className={styles['scrub']} min={from} max={to} step="any" value={t} aria-label="Scrub both"
            aria-valuetext={timeText(t, at)}
            onChange={(event) => {
              setPlaying(false);
              setT(Number(event.target.value));
            }}
            onKeyDown={(event) => {
              const by = event.key === 'ArrowLeft' ? -1 : event.key === 'ArrowRight' ? 1 : null;
              if (by === null) return;
              event.preventDefault();
              step(by);
            }}
          />
          <p className={styles['time']}>{timeText(t, at)}</p>
        </div>
        <MomentLines first={first} second={second} alignment={alignment} t={t} span={[from, to]} onTime={(to) => { setPlaying(false); setT(to); }} />
      </div>
      <div className={analysis['body']}>
        {measures.length === 0 ? (
          <p className={analysis['text']}>The two reps share no measured figure. Film both from the side, the whole body in the picture.</p>
        ) : (
          <SideMeasures
            measures={measures} titles={[first.title, second.title]} chosen={measure}
            onChoose={(id) => {
              setPlaying(false);
              setMeasure(measure === id ? null : id);
              const found = first.reading.moments[momentOfMeasure(id)];
              if (found.found) setT(found.t - firstAtS);
            }}
          />
        )}
        <p className={analysis['soft']}>
          The interval holds the error of the two measurements only: it speaks of these two reps, not of the athletes.
          {clips < 2 && ' Where no clip was kept, the athlete is drawn as a line figure from the stored measurement.'}
          {first.reading.direction.value !== second.reading.direction.value && isOver && ' The one behind is turned round, so that both run the same way.'}
          {isSlowed && ' The speed of a clip here is not known for certain, so times between moments may be stretched.'}
        </p>
        <Cautions />
      </div>
    </div>
  );
}

/** Runs the common time on while playing; stops at the end. */
function usePlaying(isPlaying: boolean, rate: number, to: number, setT: (change: (t: number) => number) => void, setPlaying: (isPlaying: boolean) => void): void {
  const last = useRef<number | null>(null);
  useEffect(() => {
    if (!isPlaying) return;
    let handle = 0;
    last.current = null;
    const tick = (now: number) => {
      const passedS = last.current === null ? 0 : ((now - last.current) / 1000) * rate;
      last.current = now;
      setT((t) => {
        const next = t + passedS;
        if (next < to) return next;
        setPlaying(false);
        return to;
      });
      handle = requestAnimationFrame(tick);
    };
    handle = requestAnimationFrame(tick);
    return () => { cancelAnimationFrame(handle); };
  }, [isPlaying, rate, to, setT, setPlaying]);
}

/** The key moment within a frame or so of a time, whose angles are then drawn; null in between. */
function nearestMoment(reading: Reading, t: number): MomentId | null {
  const { times } = reading.track;
  const spacing = times.length > 1 ? ((times.at(-1) ?? 0) - (times[0] ?? 0)) / (times.length - 1) : 1 / 30;
  const near = (['launch', 'plant', 'hands', 'passe', 'set'] as const).flatMap((id) => {
    const moment = reading.moments[id];
    return moment.found && Math.abs(moment.t - t) <= spacing ? [{ id, away: Math.abs(moment.t - t) }] : [];
  }).sort((a, b) => a.away - b.away);
  return near[0]?.id ?? null;
}

/** A common time in words: "0.050 s before launch", "at launch". */
function timeText(t: number, at: MomentId): string {
  const name = MOMENT_WORDS[at].name.toLowerCase();
  if (Math.abs(t) < 5e-4) return `at ${name}`;
  return `${Math.abs(t).toFixed(3)} s ${t < 0 ? 'before' : 'after'} ${name}`;
}
