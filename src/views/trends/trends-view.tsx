import { useState } from 'react';
import styles from './trends.module.css';
import analysis from '../analysis/analysis.module.css';
import { repsOf, trend, type AthleteLog, type Trend } from '../../athletelog/index.ts';
import { repValueOf } from '../../compare/index.ts';
import { MEASURE_NAMES, valueText, valueWithErrorText } from '../../cues/index.ts';
import type { MeasureId } from '../../shapes/measure.ts';
import { START_IDS, START_NAMES, type StartId } from '../../starts/start.ts';
import { measuresOf, toleranceOf, type Profile } from '../../tolerances/index.ts';
import { changeText, dayText } from '../analysis/amounts.ts';
import { Empty } from '../analysis/empty.tsx';
import { Pick } from '../analysis/pick.tsx';
import { Tape } from '../analysis/tape.tsx';
import { WideBox } from '../analysis/wide-box.tsx';
import { Cautions } from '../parts/cautions.tsx';
import { TrendChart, type ChartRep } from './trend-chart.tsx';
import { growthWords, trendFigure, trendSentence, trendWord } from './trend-words.ts';
import { Z95 } from '../../units/normal-distribution.ts';

/** Measures in the order in which a coach asks: speed, times, lengths, then shapes. */
const ASKED_FIRST: readonly MeasureId[] = ['launch.hipSpeed', 'time.toHands', 'time.toPlant', 'mark.toHands', 'steps.length[1]', 'steps.length[2]', 'plant.lungeRatio'];

interface TrendsViewProps {
  readonly log: AthleteLog;
  readonly athleteId: string;
  /** Profile in force for the athlete: its bands are drawn. */
  readonly profile: Profile;
}

/** One measure of one start over the weeks, and the list of all of them. */
export function TrendsView({ log, athleteId, profile }: TrendsViewProps) {
  const athlete = log.athletes.find((each) => each.id === athleteId);
  const starts = START_IDS.filter((start) => repsOf(log, { athleteId, start }).length > 0);
  const [chosenStart, setStart] = useState<StartId | null>(null);
  const [chosenMeasure, setMeasure] = useState<MeasureId | null>(null);
  const start = chosenStart !== null && starts.includes(chosenStart) ? chosenStart : starts.find((each) => each === athlete?.usualStart) ?? starts[0];
  const all = start === undefined ? [] : trendsOf(log, athleteId, start);
  const shown = all.find((each) => each.measure === chosenMeasure) ?? all[0];
  if (start === undefined || shown === undefined || athlete === undefined) {
    return <Empty title="Weeks make a trend" todo="Save reps in five sessions or more. Then every measure is drawn here over the weeks with its interval, the band and how the athlete grew." />;
  }
  const { measure, found } = shown;
  const reps = repsIn(log, athleteId, start, measure, found);
  const tolerance = toleranceOf(profile, start, measure);
  const band = tolerance?.band != null && tolerance.unit === found.unit && found.unit !== 'side' ? tolerance.band : null;
  const legs = athlete.growth.flatMap((entry) => (entry.legLengthM === null ? [] : [{ date: entry.date, metres: entry.legLengthM }]));
  const heights = athlete.growth.flatMap((entry) => (entry.heightM === null ? [] : [{ date: entry.date, metres: entry.heightM }]));
  const growth = (legs.length >= heights.length ? legs : heights).toSorted((a, b) => a.date.localeCompare(b.date));
  const sentence = trendSentence(measure, found);
  return (
    <div className={analysis['screen']}>
      <Tape label="Trend" say={sentence} figure={trendFigure(found)} />
      <div className={analysis['body']}>
        <div className={analysis['picks']}>
          <Pick label="Start" value={start} options={starts.map((each) => ({ value: each, word: START_NAMES[each] }))} onPick={setStart} />
          <Pick label="Measure" value={measure} options={all.map((each) => ({ value: each.measure, word: MEASURE_NAMES[each.measure] }))} onPick={setMeasure} />
        </div>
        <TrendChart
          found={found} reps={reps} band={band} growth={growth} growthName={legs.length >= heights.length ? 'leg' : 'height'}
          words={`${sentence} ${found.points.length} sessions from ${dayText(found.points[0]!.date)} to ${dayText(found.points.at(-1)!.date)}. The table below holds every figure.`}
        />
        <p className={analysis['text']}>
          {growthWords(found)}
          {band === null && tolerance !== null && tolerance.band === null && ' This measure has no band: it is compared with the athlete’s own reps.'}
          {found.leftOut > 0 && ` ${found.leftOut} ${found.leftOut === 1 ? 'rep is' : 'reps are'} left out: measured in another unit.`}
        </p>
        <details className={analysis['behind']}>
          <summary>The figures of the chart</summary>
          <WideBox label="Figures of the chart">
            <table className={analysis['table']}>
              <caption>{MEASURE_NAMES[measure]}, {START_NAMES[start].toLowerCase()}</caption>
              <thead><tr><th scope="col">Session</th><th scope="col">Mean</th><th scope="col">Reps with their 95 % interval</th></tr></thead>
              <tbody>
                {found.points.map((point) => (
                  <tr key={point.sessionId}>
                    <th scope="row">{dayText(point.date)}</th>
                    <td>{valueText(point.mean, found.unit)}</td>
                    <td>{reps.filter((rep) => rep.sessionId === point.sessionId).map((rep) => valueWithErrorText(rep.value.value, [rep.value.value - Z95 * rep.value.sd, rep.value.value + Z95 * rep.value.sd], found.unit)).join('; ')}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </WideBox>
        </details>
        <WideBox label={`All measures, ${START_NAMES[start]}`}>
          <table className={analysis['table']}>
            <caption>All measures of the {START_NAMES[start].toLowerCase()} over the weeks</caption>
            <thead><tr><th scope="col">Measure</th><th scope="col">Trend, change in 30 days</th><th scope="col">Latest</th></tr></thead>
            <tbody>
              {all.map((each) => (
                <tr key={each.measure} className={each === shown ? analysis['lead'] : undefined}>
                  <th scope="row"><button type="button" className={analysis['link']} aria-pressed={each === shown} onClick={() => { setMeasure(each.measure); }}>{MEASURE_NAMES[each.measure]}</button></th>
                  <td><span className={each.found.verdict === 'rising' || each.found.verdict === 'falling' ? styles['yes'] : styles['no']}>{trendWord(each.found)}</span>{each.found.per30Days !== null && <span className={styles['slope']}>{changeText(each.found.per30Days, each.found.unit)}</span>}</td>
                  <td>{valueText(each.found.points.at(-1)!.mean, each.found.unit)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </WideBox>
        <p className={analysis['soft']}>
          “No trend shown” is not “no change”: the sessions scatter too much to tell. A trend is named from five sessions on, when the interval of
          its slope leaves out zero and the change is more than the usual scatter. Among many measures one in twenty can look like a trend by chance.
        </p>
        <Cautions start={start} />
      </div>
    </div>
  );
}

/** Trends of all measures of a start, those asked for most first; sides and counts have none. */
export function trendsOf(log: AthleteLog, athleteId: string, start: StartId): readonly { readonly measure: MeasureId; readonly found: Trend }[] {
  const order = [...ASKED_FIRST, ...measuresOf(start).filter((id) => !ASKED_FIRST.includes(id))];
  return order.filter((id) => measuresOf(start).includes(id)).flatMap((measure) => {
    const found = trend(log, athleteId, start, measure);
    return found === null || found.unit === 'side' || found.unit === 'count' ? [] : [{ measure, found }];
  });
}

function repsIn(log: AthleteLog, athleteId: string, start: StartId, measure: MeasureId, found: Trend): readonly (ChartRep & { readonly sessionId: string })[] {
  const dates = new Map(log.sessions.map((session) => [session.id, session.date]));
  return repsOf(log, { athleteId, start }).flatMap((rep) => {
    const value = repValueOf(rep.measures[measure]);
    const date = dates.get(rep.sessionId);
    return value === null || date === undefined || value.unit !== found.unit ? [] : [{ id: rep.id, sessionId: rep.sessionId, date, value }];
  });
}
