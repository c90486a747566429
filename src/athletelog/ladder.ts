import { check } from '../checker/check.ts';
import type { Finding, Verdict } from '../checker/finding.ts';
import type { MeasureId } from '../shapes/measure.ts';
import { START_IDS } from '../starts/start.ts';
import type { StartId } from '../starts/start.ts';
import type { Profile } from '../tolerances/schema.ts';
import { repsOf } from './log.ts';
import type { AthleteLog } from './schema.ts';
import type { SurfaceId } from './surface.ts';

/** What a rule of the ladder says. */
export type LadderRuleKind = 'usual-minimum' | 'very-advanced-only' | 'beginner-drill' | 'coach-at-side' | 'never-in-sets';

/** A rule for some starts on some surfaces, editable by the coach. */
export interface LadderRule {
  readonly id: string;
  readonly kind: LadderRuleKind;
  readonly starts: readonly StartId[];
  /** The rule holds when the rep has all of these; an empty list holds everywhere. */
  readonly onAll: readonly SurfaceId[];
  /** The rule holds when the rep has one of these; an empty list holds everywhere. */
  readonly onAny: readonly SurfaceId[];
  readonly text: string;
}

/** Order of the starts, rules of the surfaces, and when shapes count as holding; editable by the coach. */
export interface Ladder {
  readonly version: 1;
  /** Easiest first. */
  readonly order: readonly StartId[];
  readonly rules: readonly LadderRule[];
  /** Only this many latest reps of a start are looked at. */
  readonly lastReps: number;
  /** Fewer reps than this say nothing. */
  readonly fewestReps: number;
  /** Share of the shapes that must be in their band for "the shapes hold", 0 to 1. */
  readonly holdShare: number;
}

/** The ladder until the coach edits it. All of it is common practice, no source. */
export const DEFAULT_LADDER: Ladder = {
  version: 1,
  order: START_IDS,
  rules: [
    {
      id: 'soft-minimum', kind: 'usual-minimum', starts: ['power-hurdle'], onAll: [], onAny: ['air-floor', 'trampoline-track'],
      text: 'On an air floor or a trampoline track the power hurdle is the usual minimum.',
    },
    {
      id: 'soft-run-up', kind: 'very-advanced-only', starts: ['two-step-run'], onAll: [], onAny: ['air-floor', 'trampoline-track'],
      text: 'On an air floor or a trampoline track a run-up is left to very advanced skills.',
    },
    {
      id: 'tip-wedge-pit', kind: 'beginner-drill', starts: ['tip-from-passe'], onAll: ['incline', 'pit'], onAny: [],
      text: 'With a wedge into a pit this doubles as a controlled drill for beginners, with the coach at their side.',
    },
    {
      id: 'tip-floor', kind: 'coach-at-side', starts: ['tip-from-passe'], onAll: [], onAny: ['sprung-floor', 'dead-mat', 'air-floor', 'rod-floor', 'trampoline-track'],
      text: 'Never something for a beginner to try alone on the floor.',
    },
    {
      id: 'half-kneeling-sets', kind: 'never-in-sets', starts: ['half-kneeling'], onAll: [], onAny: [],
      text: 'Single tries with rest, never in sets.',
    },
  ],
  lastReps: 5,
  fewestReps: 3,
  holdShare: 0.8,
};

/** What no measure can say; stands beside every ladder. */
export const LADDER_CANNOT_SAY = [
  'Whether legs, wrists and shoulders are strong enough.',
  'Whether the athlete is rested, free of pain and not afraid.',
  'Whether the round-off and the skills after it are safe.',
  'Whether floor, mats and spotting are right.',
  'What your rules and your coach allow: a qualified coach decides.',
] as const;

/** One start on an athlete's ladder. */
export interface Rung {
  readonly start: StartId;
  /** From 1, easiest first. */
  readonly place: number;
  readonly reps: number;
  readonly sessions: number;
  readonly lastDate: string | null;
  /** The latest reps of which shapes were looked at; those by stopwatch are not among them. */
  readonly looked: number;
  /** Verdicts of the latest reps, held against the profile. */
  readonly verdicts: Readonly<Record<Verdict, number>>;
  /** Measures that were off target in the latest reps, most often first, with the reps in which they were clear. */
  readonly off: readonly { readonly measure: MeasureId; readonly out: number; readonly clear: number }[];
  /**
   * What the measures say, never a clearance. 'hold': enough of the shapes were in their bands and none is off by habit;
   * 'not-yet': they were not; 'too-few-reps'; 'cannot-tell': more shapes were too close to call or not measured than were clear.
   */
  readonly shapes: 'hold' | 'not-yet' | 'too-few-reps' | 'cannot-tell';
  /** Rules that hold for this start on the given surfaces. */
  readonly rules: readonly LadderRule[];
}

/** Verdicts that say something. */
const CLEAR: ReadonlySet<Verdict> = new Set(['in-band', 'near', 'out']);

/** An athlete's ladder on the given surfaces, easiest start first, in the coach's order. */
export function ladderOf(log: AthleteLog, athleteId: string, profile: Profile, ladder: Ladder, surfaces: readonly SurfaceId[]): readonly Rung[] {
  const dates = new Map(log.sessions.map((session) => [session.id, session.date]));
  return ladder.order.map((start, i) => {
    const reps = repsOf(log, { athleteId, start });
    const last = reps[reps.length - 1];
    const judged = reps.map((rep) => ({ rep, findings: check(start, rep.measures, profile, rep.lead) }));
    // A rep by stopwatch shows no shape, neither good nor bad.
    const latest = judged.filter(({ rep, findings }) => rep.clip !== null || findings.some((finding) => finding.verdict !== 'not-measured')).slice(-ladder.lastReps);
    const findings = latest.flatMap((each) => each.findings);
    const verdicts: Record<Verdict, number> = { 'in-band': 0, near: 0, 'too-close': 0, out: 0, 'not-measured': 0 };
    for (const finding of findings) verdicts[finding.verdict] += 1;
    const off = offIn(findings);
    return {
      start,
      place: i + 1,
      reps: reps.length,
      sessions: new Set(reps.map((rep) => rep.sessionId)).size,
      looked: latest.length,
      lastDate: last === undefined ? null : dates.get(last.sessionId) ?? null,
      verdicts,
      off,
      shapes: latest.length < ladder.fewestReps ? 'too-few-reps' : shapesOf(verdicts, ladder.holdShare, off.some(isHabit)),
      rules: rulesFor(ladder, start, surfaces),
    };
  });
}

/** The rules that hold for a start on the given surfaces, in the ladder's order. */
export function rulesFor(ladder: Ladder, start: StartId, surfaces: readonly SurfaceId[]): readonly LadderRule[] {
  return ladder.rules.filter((rule) =>
    rule.starts.includes(start)
    && rule.onAll.every((surface) => surfaces.includes(surface))
    && (rule.onAny.length === 0 || rule.onAny.some((surface) => surfaces.includes(surface))));
}

/** A shape that is off in half of its clear reps, in two or more, is a habit; chosen: once may be chance. */
function isHabit({ out, clear }: Rung['off'][number]): boolean {
  return out >= 2 && out >= clear / 2;
}

/** Measures with an off-target finding, most often first. */
function offIn(findings: readonly Finding[]): Rung['off'] {
  const ids = new Set(findings.filter((finding) => finding.verdict === 'out').map((finding) => finding.measure));
  return [...ids].map((measure) => {
    const clear = findings.filter((finding) => finding.measure === measure && CLEAR.has(finding.verdict));
    return { measure, out: clear.filter((finding) => finding.verdict === 'out').length, clear: clear.length };
  }).toSorted((a, b) => b.out - a.out);
}

function shapesOf(verdicts: Readonly<Record<Verdict, number>>, holdShare: number, hasHabit: boolean): Rung['shapes'] {
  const clear = verdicts['in-band'] + verdicts.near + verdicts.out;
  if (clear === 0 || clear < verdicts['too-close'] + verdicts['not-measured']) return 'cannot-tell';
  return verdicts['in-band'] >= holdShare * clear && !hasHabit ? 'hold' : 'not-yet';
}

/** The first rung whose shapes do not hold: where there is something to work on; null when all hold. Says nothing about being ready for the next. */
export function workOn(rungs: readonly Rung[]): Rung | null {
  return rungs.find((rung) => rung.shapes !== 'hold') ?? null;
}
