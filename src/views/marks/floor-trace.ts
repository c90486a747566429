import { lengthOn, repsOf } from '../../athletelog/index.ts';
import type { Athlete, AthleteLog, Rep } from '../../athletelog/index.ts';
import { legLengthFromHeightM } from '../../geometry/index.ts';
import type { Reading } from '../../reading/reading.ts';
import type { StartId } from '../../starts/start.ts';
import { floorPlaces } from '../result/floor-places.ts';

/** Where one rep touched the floor, in metres along the travel from the coach's zero. */
export interface FloorTrace {
  readonly repId: string;
  readonly number: number;
  readonly start: StartId;
  /** Toe at the start. */
  readonly markM: number;
  /** Toes of the steps before the hurdle. */
  readonly stepsM: readonly number[];
  /** Toe of the lunge; null where no measurement is stored. */
  readonly plantM: number | null;
  readonly handsM: number | null;
}

/**
 * The traces of an athlete's reps of one session, in order. Hands come from the stored measure; steps from the stored step lengths
 * (toe to toe is as long as ankle to ankle) or, like the lunge, from the stored track where there is a reading with a scale.
 * A rep of which nothing is known in metres gives its mark alone.
 */
export function floorTraces(log: AthleteLog, athleteId: string, sessionId: string, markAtM: number, readings: ReadonlyMap<string, Reading>): readonly FloorTrace[] {
  const athlete = log.athletes.find((each) => each.id === athleteId);
  const date = log.sessions.find((each) => each.id === sessionId)?.date;
  const legM = athlete === undefined || date === undefined ? null : legLengthOn(athlete, date);
  return repsOf(log, { athleteId, sessionId }).map((rep) => traceOf(rep, rep.markAtM ?? markAtM, readings.get(rep.id) ?? null, legM));
}

function traceOf(rep: Rep, markM: number, reading: Reading | null, legM: number | null): FloorTrace {
  const hands = rep.measures['mark.toHands'];
  const handsM = hands?.measured === true && hands.unit === 'm' ? markM + hands.value : null;
  const seen = reading === null ? null : seenPlaces(reading);
  return {
    repId: rep.id,
    number: rep.number,
    start: rep.start,
    markM,
    stepsM: (seen?.stepsM ?? stepsFromLengths(rep, legM)).map((m) => markM + m),
    plantM: seen?.plantM == null ? null : markM + seen.plantM,
    handsM: handsM ?? (seen?.handsM == null ? null : markM + seen.handsM),
  };
}

/** Places out of the stored track, in metres from the start toe; null without a scale. */
function seenPlaces(reading: Reading): { readonly stepsM: readonly number[]; readonly plantM: number | null; readonly handsM: number | null } | null {
  const { metresPerPixel } = reading;
  if (metresPerPixel === null) return null;
  const travel = reading.direction.value === 'left-to-right' ? 1 : -1;
  const { places } = floorPlaces(reading);
  const origin = places.find((place) => place.moment === 'set')?.xPx;
  if (origin === undefined) return null;
  const metres = (xPx: number) => travel * (xPx - origin) * metresPerPixel;
  const at = (moment: 'plant' | 'hands') => {
    const place = places.find((each) => each.moment === moment);
    return place === undefined ? null : metres(place.xPx);
  };
  const steps = places.find((place) => place.moment === 'firstMove')?.marks ?? [];
  return { stepsM: steps.map((mark) => metres(travel > 0 ? Math.max(mark.fromPx, mark.toPx) : Math.min(mark.fromPx, mark.toPx))), plantM: at('plant'), handsM: at('hands') };
}

function stepsFromLengths(rep: Rep, legM: number | null): readonly number[] {
  const steps: number[] = [];
  let at = 0;
  for (const id of ['steps.length[1]', 'steps.length[2]'] as const) {
    const measure = rep.measures[id];
    const metres = measure?.measured !== true ? null : measure.unit === 'm' ? measure.value : measure.unit === 'leg' && legM !== null ? measure.value * legM : null;
    if (metres === null) break;
    at += metres;
    steps.push(at);
  }
  return steps;
}

/** Leg length on a day in metres, from a measured leg or else from the height; null when neither is stored. */
function legLengthOn(athlete: Athlete, date: string): number | null {
  const leg = lengthOn(athlete, 'legLengthM', date);
  if (leg !== null) return leg.metres;
  const height = lengthOn(athlete, 'heightM', date);
  return height === null ? null : legLengthFromHeightM(height.metres);
}
