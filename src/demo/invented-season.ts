import type { Athlete, AthleteLog, Rep, Session } from '../athletelog/index.ts';
import { legLengthFromHeightM } from '../geometry/index.ts';
import type { Moments } from '../phases/moment.ts';
import type { Measure, MeasureId, MeasureUnit } from '../shapes/measure.ts';
import type { StartId } from '../starts/start.ts';
import { DEFAULT_PROFILE, measuresOf, toleranceOf } from '../tolerances/index.ts';
import { INVENTED_ATHLETES, INVENTED_PLACE, INVENTED_SURFACES, type InventedAthlete } from './invented-athletes.ts';
import { seededRandom, type Random } from './random.ts';
import { Z95 } from '../units/normal-distribution.ts';

/** Every invented season comes from this seed. */
const SEED = 20260901;

/** Training days of the season, one a week, the last three days before the season is loaded. */
export const INVENTED_SESSIONS = 16;
const LAST_DAY_BEFORE = 3;

/**
 * Plausible sizes of what has no band, for each start: first movement to plant and plant to hands (s), flight (s),
 * mark to hands (leg lengths), and speed against the usual start. All chosen, near the computer-drawn clips of this project.
 */
const START_SIZES: Readonly<Record<StartId, { readonly toPlantS: number; readonly plantToHandsS: number; readonly flightS: number; readonly markLegs: number; readonly speed: number }>> = {
  'two-step-run': { toPlantS: 1.7, plantToHandsS: 0.36, flightS: 0.27, markLegs: 5.4, speed: 1 },
  'power-hurdle': { toPlantS: 1.47, plantToHandsS: 0.42, flightS: 0.31, markLegs: 3.7, speed: 1 },
  'sprint-lunge': { toPlantS: 0.88, plantToHandsS: 0.36, flightS: 0.1, markLegs: 3.5, speed: 0.9 },
  'hop-from-passe': { toPlantS: 1.1, plantToHandsS: 0.38, flightS: 0.16, markLegs: 3.1, speed: 0.8 },
  'tip-from-passe': { toPlantS: 0.95, plantToHandsS: 0.42, flightS: 0, markLegs: 2.6, speed: 0.62 },
  'half-kneeling': { toPlantS: 1, plantToHandsS: 0.38, flightS: 0.1, markLegs: 3.2, speed: 0.84 },
};

/** Hip speed of the usual start at which the times above hold, leg lengths a second. */
const USUAL_SPEED = 3;

/** Rep-to-rep spread and measurement error of each unit, one standard deviation; chosen near what clips of a phone give. */
const SPREAD: Readonly<Record<MeasureUnit, readonly [number, number]>> = {
  deg: [3.5, 2], leg: [0.04, 0.025], m: [0.06, 0.04], s: [0.025, 0.008], 'leg/s': [0.12, 0.05], 'm/s': [0.08, 0.03], 'deg/s': [28, 15], count: [0, 0], side: [0, 0],
};

/** The season of the invented club, ending shortly before the given day: the same for the same day. Everything in it is marked as invented. */
export function inventedSeason(today: string): AthleteLog {
  const random = seededRandom(SEED);
  const days = Array.from({ length: INVENTED_SESSIONS }, (_, i) => dayBefore(today, LAST_DAY_BEFORE + 7 * (INVENTED_SESSIONS - 1 - i)));
  const athletes = INVENTED_ATHLETES.map((each): Athlete => ({
    id: each.id,
    name: each.name,
    birthYear: null,
    lead: each.lead,
    usualStart: each.usualStart,
    growth: [days[0]!, days[8]!, days[INVENTED_SESSIONS - 1]!].map((date, i) => ({ date, heightM: rounded(between(each.heightM, i / 2), 3), legLengthM: null })),
    groups: each.groups,
    ticks: each.groups.includes('Competition') ? [{ start: 'two-step-run', date: days[4]! }, { start: 'power-hurdle', date: days[2]! }] : [],
    note: '',
    isInvented: true,
  }));
  const sessions: Session[] = [];
  const reps: Rep[] = [];
  days.forEach((date, index) => {
    const id = `invented-session-${index + 1}`;
    const here = INVENTED_ATHLETES.filter((athlete) => !(athlete.groups.includes('Beginners') && index % 2 === 1) && random.next() > 0.15);
    sessions.push({
      id, date, place: INVENTED_PLACE, surfaces: ['sprung-floor'],
      present: here.map((athlete) => ({
        athleteId: athlete.id,
        legs: random.next() > 0.2 ? 'rested' : 'tired',
        floorPlan: { markAtM: 1, edgeAtM: edgeOf(athlete), passLengthM: athlete.passLengthM, passLengthSdM: athlete.passLengthSdM, keepFreeM: 0.3 },
      })),
      note: '', isInvented: true,
    });
    for (const athlete of here) reps.push(...repsOfSession(athlete, id, index, random));
  });
  return { athletes, sessions, reps };
}

/** Usual start, then the drill, then the usual start again: what a coach does to see whether the drill helped. */
function repsOfSession(athlete: InventedAthlete, sessionId: string, index: number, random: Random): readonly Rep[] {
  const drills = 2 + Math.floor(random.next() * 2);
  const starts: readonly StartId[] = [
    ...Array.from({ length: 3 }, () => athlete.usualStart), ...Array.from({ length: drills }, () => athlete.drill), ...Array.from({ length: 3 }, () => athlete.usualStart),
  ];
  const season = index / (INVENTED_SESSIONS - 1);
  // Each day is a little better or worse than the trend.
  const day = 1 + 0.015 * random.normal();
  return starts.map((start, i) => oneRep(athlete, { sessionId, index, start, number: i + 1, season, day, tired: i / (starts.length - 1) }, random));
}

interface Place {
  readonly sessionId: string;
  readonly index: number;
  readonly start: StartId;
  readonly number: number;
  /** 0 at the season's first session, 1 at its last. */
  readonly season: number;
  readonly day: number;
  /** 0 at the session's first rep, 1 at its last. */
  readonly tired: number;
}

function oneRep(athlete: InventedAthlete, place: Place, random: Random): Rep {
  const { start } = place;
  const sizes = START_SIZES[start];
  const legM = legLengthFromHeightM(between(athlete.heightM, place.season));
  const speed = between(athlete.speed, place.season) * sizes.speed * place.day * (1 - athlete.tires * place.tired) + 0.08 * random.normal();
  // Who is faster is sooner at the floor; chosen: half as strongly as the speed itself.
  const toPlantS = sizes.toPlantS * Math.sqrt((USUAL_SPEED * sizes.speed) / Math.max(speed, 1)) + 0.02 * random.normal();
  const markM = sizes.markLegs * legM * (1 + athlete.creeps * place.tired) + 0.06 * random.normal();
  const known: Readonly<Partial<Record<MeasureId, number>>> = {
    'launch.hipSpeed': speed,
    'hurdle.flight': Math.max(0.05, sizes.flightS + 0.012 * random.normal()),
    'time.toPlant': toPlantS,
    'time.toHands': toPlantS + sizes.plantToHandsS + 0.012 * random.normal(),
    'mark.toHands': markM,
    'kick.rate': 420 + 40 * speed + 25 * random.normal(),
    'steps.count': 2,
    'steps.firstLeg': athlete.lead === 'left' ? -1 : 1,
    'steps.time[1]': 0.51 + 0.015 * random.normal(),
    'steps.time[2]': 0.41 + 0.015 * random.normal(),
  };
  const measures = Object.fromEntries(measuresOf(start).map((id): [MeasureId, Measure] => [id, measureOf(id, start, known[id], athlete, place, random)]));
  const endsM = 1 + markM + athlete.passLengthM + athlete.passLengthSdM * random.normal();
  return {
    id: `${place.sessionId}-${athlete.id}-${place.number}`,
    athleteId: athlete.id,
    sessionId: place.sessionId,
    number: place.number,
    start,
    surfaces: INVENTED_SURFACES[start],
    lead: athlete.lead,
    legs: null,
    hasPain: athlete.id === 'invented-pell' && place.index === 11 && place.number === 6,
    pass: start === 'tip-from-passe' ? '' : athlete.pass,
    fitted: start === athlete.usualStart ? endsM <= edgeOf(athlete) - 0.3 : null,
    markAtM: 1,
    isStarred: random.next() > 0.96,
    note: '',
    clip: { fileName: 'invented.mp4', timeBase: { kind: 'known' }, fps: 60, model: 'invented', engineVersion: 'invented' },
    moments: momentsOf(toPlantS, known['time.toHands'] ?? toPlantS + sizes.plantToHandsS, known['hurdle.flight'] ?? 0.1),
    measures,
    stated: {},
    judgedBy: { id: DEFAULT_PROFILE.id, revision: DEFAULT_PROFILE.revision },
  };
}

/** A measure of a rep: what is known of it, or the middle of its band shifted by the athlete's habit; now and then it is not measured. */
function measureOf(id: MeasureId, start: StartId, known: number | undefined, athlete: InventedAthlete, place: Place, random: Random): Measure {
  const tolerance = toleranceOf(DEFAULT_PROFILE, start, id);
  const unit = UNITS[id] ?? tolerance?.unit ?? 'deg';
  const [spread, error] = SPREAD[unit];
  if (known === undefined && random.next() < 0.03) return { measured: false, why: 'low-confidence' };
  const [low, high] = tolerance?.band ?? [0, 0];
  const habit = athlete.habits[id];
  const middle = (low + high) / 2 + (habit === undefined ? 0 : (between(habit, place.season) * (high - low)) / 2);
  const digits = unit === 'deg' || unit === 'deg/s' ? 1 : 3;
  const value = rounded(known ?? middle + spread * random.normal(), digits);
  const half = rounded(Z95 * error * (0.8 + 0.4 * random.next()), digits);
  const held = unit === 'deg' && KNEES.has(id) ? Math.min(value, 179) : value;
  return { measured: true, value: held, unit, ci95: [rounded(held - half, digits), rounded(held + half, digits)], t: null, frame: null, source: 'detected' };
}

/** Interior knee angles end at a straight leg. */
const KNEES: ReadonlySet<MeasureId> = new Set<MeasureId>(['set.backKnee', 'set.frontKnee', 'set.passeKnee', 'passe.knee', 'launch.pushKnee', 'plant.frontKnee', 'kick.rearKnee', 'kick.split']);

/** Units of what has no band of its own. */
const UNITS: Readonly<Partial<Record<MeasureId, MeasureUnit>>> = {
  'launch.hipSpeed': 'leg/s', 'hurdle.flight': 's', 'time.toPlant': 's', 'time.toHands': 's', 'mark.toHands': 'm', 'kick.rate': 'deg/s',
  'steps.count': 'count', 'steps.firstLeg': 'side', 'steps.time[1]': 's', 'steps.time[2]': 's',
};

function momentsOf(toPlantS: number, toHandsS: number, flightS: number): Moments {
  const at = (t: number): Moments['set'] => ({ found: true, t: rounded(0.5 + t, 4), sd: 0.01, source: 'detected' });
  return { set: at(0), firstMove: at(0), launch: at(toPlantS - flightS), passe: at(toPlantS - 0.8 * flightS), plant: at(toPlantS), hands: at(toHandsS) };
}

/** The far edge of the floor for an athlete, so that most passes of the usual start fit; metres. */
function edgeOf(athlete: InventedAthlete): number {
  const reach = START_SIZES[athlete.usualStart].markLegs * legLengthFromHeightM(athlete.heightM[1]);
  return rounded(1 + reach + athlete.passLengthM + 0.3 + 1.6 * Math.hypot(athlete.passLengthSdM, 0.06), 1);
}

function between([from, to]: readonly [number, number], share: number): number {
  return from + (to - from) * share;
}

function rounded(value: number, digits: number): number {
  return Number(value.toFixed(digits));
}

function dayBefore(day: string, days: number): string {
  return new Date(Date.parse(`${day}T00:00:00Z`) - days * 86_400_000).toISOString().slice(0, 10);
}
