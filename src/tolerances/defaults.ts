import type { MeasureId } from '../shapes/measure.ts';
import { MEASURE_IDS } from '../shapes/measure.ts';
import type { StartId } from '../starts/start.ts';
import { START_IDS } from '../starts/start.ts';
import { applies, BAND_UNITS } from './applies.ts';
import type { Basis, Profile, Tolerance } from './schema.ts';
import { TOLERANCE_FORMAT, TOLERANCE_VERSION } from './schema.ts';

/** Shown beside every default: none of them is a published rule. */
export const DEFAULT_LABEL = 'default – set with your coach';

/** Words behind each basis tag. */
export const BASIS_NAMES: Readonly<Record<Basis['tag'], string>> = {
  P: 'published number',
  G: 'geometry',
  E: 'measurement error',
  CP: 'common practice, no source',
  coach: 'set by the coach',
};

type Band = readonly [number, number];
type Importance = 1 | 2 | 3 | 4 | 5;
interface Draft {
  readonly band: Band | null;
  readonly softMargin: number;
  readonly importance: Importance;
  readonly basis: Basis;
}

const published = (text: string): Basis => ({ tag: 'P', text });
const geometry = (text: string): Basis => ({ tag: 'G', text });
const errorFloor = (text: string): Basis => ({ tag: 'E', text });
const practice = (text: string): Basis => ({ tag: 'CP', text });
const scored = (band: Band, softMargin: number, importance: Importance, basis: Basis): Draft => ({ band, softMargin, importance, basis });
const shown = (importance: Importance, basis: Basis): Draft => ({ band: null, softMargin: 0, importance, basis });
const perStart = <T>(usual: T, others: Partial<Readonly<Record<StartId, T>>>): ((start: StartId) => T) => (start) => others[start] ?? usual;

const PASSE_KNEE = geometry(
  'Toe at the other knee gives 42.9°, ankle at the other knee 59.9° (law of cosines, segment lengths of Drillis & Contini 1966); rounded to 45° and widened by 5° at the upper end. No published rule: your coach picks the shape.',
);
const THIGH_LEVEL = geometry('Toe at the other knee puts the thigh 4° above level (segment lengths of Drillis & Contini 1966); ± 10° is the automatic error floor.');
const THIGH_DRIVE = geometry(
  'Toe at the other knee puts the thigh 4° above level (segment lengths of Drillis & Contini 1966); 10° below is the automatic error floor, up to 20° above is not called a fault (common practice, no source).',
);
const LANDING_LEAN = practice('Lean on landing the lunge 20° ± 10°: common practice, no source.');
const HOP_LEAN = practice('Upright push into a hop or hurdle that lands at 20° ± 10°: common practice, no source.');
const DRIVE_LEAN = practice(
  'Wide on purpose: common practice, no source. The upper end is the direction of 40–45° in which a sprinter leaves the blocks (Harland & Steele 1997), taken as a limit for a trunk that stays more upright.',
);
const LUNGE = geometry(
  'Straight legs opened 65° span 1.07 leg lengths, opened 85° span 1.35 (2 sin of half the angle). That a lunge opens the legs that far: common practice, no source.',
);
const STRAIGHT_PUSH = errorFloor('Straight is 180°; 20° is twice the automatic error floor of 10°. That the push ends straight: common practice, no source.');
const OWN_BEST = errorFloor('Compared with the athlete’s own reps, not with a band: speed from one camera is off by 0.26 m/s in published work (Needham 2021).');
const OWN_REPS = practice('Compared with the athlete’s own reps, not with a band. No published target; common practice, no source.');
const OWN_MEDIAN = errorFloor('Compared with the athlete’s own median: one frame at 30 fps is a tenth of a flight. No published target.');

/** Importance 5 is what the start is used for: common practice, no source. */
const DRAFTS: Readonly<Record<MeasureId, (start: StartId) => Draft>> = {
  'set.backKnee': () =>
    scored(
      [120, 155],
      10,
      5,
      published(
        'About 130° in sprint blocks (Harland & Steele 1997), ± 10° error floor. Widened to 155° since the trade asks for “slightly bent, not locked” (common practice, no source); with the soft margin it ends 15° short of straight. A deeper bend is not wrong: 90° was fastest in blocks (Milanese 2014).',
      ),
    ),
  'set.frontKnee': perStart(
    scored(
      [85, 140],
      10,
      1,
      practice('About 90° in sprint blocks (Harland & Steele 1997); a standing start is higher (common practice, no source). No single best posture is known (Bezodis 2019), so the band is wide.'),
    ),
    { 'half-kneeling': scored([80, 100], 10, 2, practice('90° defines the position; ± 10° error floor. Common practice, no source.')) },
  ),
  'set.lungeRatio': () => scored([0.9, 1.1], 0.15, 3, practice('About one leg length, ankle to ankle. Common practice, no source.')),
  'set.trunkLean': () => scored([30, 50], 10, 3, practice('40° ± 10°: common practice, no source. No single best posture is known (Bezodis 2019).')),
  'set.armsBehind': () => scored([30, 90], 15, 1, practice('Arms swung back behind the trunk, clearly but not forced. Common practice, no source.')),
  'set.passeKnee': () => scored([45, 65], 10, 5, PASSE_KNEE),
  'set.passeThigh': () => scored([-10, 10], 10, 4, THIGH_LEVEL),
  'passe.knee': perStart(scored([45, 65], 10, 4, PASSE_KNEE), {
    'power-hurdle': scored([45, 65], 10, 5, PASSE_KNEE),
    'hop-from-passe': scored([45, 65], 10, 5, PASSE_KNEE),
  }),
  'passe.thigh': perStart(scored([-10, 20], 10, 4, THIGH_DRIVE), {
    'power-hurdle': scored([-10, 20], 10, 5, THIGH_DRIVE),
    'tip-from-passe': scored([-10, 20], 10, 3, THIGH_DRIVE),
  }),
  'launch.trunkLean': perStart(scored([5, 25], 10, 4, HOP_LEAN), {
    'sprint-lunge': scored([10, 45], 10, 5, DRIVE_LEAN),
    'half-kneeling': scored([10, 45], 10, 5, DRIVE_LEAN),
    'tip-from-passe': scored([10, 30], 10, 2, practice('A tip has no flight: the launch is the landing of the lunge, 20° ± 10°. Common practice, no source.')),
  }),
  'launch.pushKnee': perStart(scored([160, 180], 10, 3, STRAIGHT_PUSH), { 'half-kneeling': scored([160, 180], 10, 5, STRAIGHT_PUSH) }),
  'launch.hipSpeed': () => shown(4, OWN_BEST),
  'hurdle.flight': () => shown(3, OWN_MEDIAN),
  'plant.lungeRatio': perStart(scored([1.05, 1.35], 0.1, 4, LUNGE), {
    'two-step-run': scored([1.05, 1.35], 0.1, 5, LUNGE),
    'tip-from-passe': scored([1.05, 1.35], 0.1, 5, LUNGE),
  }),
  'plant.trunkLean': perStart(scored([10, 30], 10, 3, LANDING_LEAN), { 'tip-from-passe': scored([10, 30], 10, 4, LANDING_LEAN) }),
  'plant.frontKnee': () =>
    scored([130, 160], 10, 2, practice('Lands longer than the 130° ± 15° to which it bends by hand contact. Common practice, no source.')),
  'kick.split': () => scored([125, 180], 15, 3, practice('Goal 135°; a full 180° belongs to leaps, not to the first hand of a round-off. Common practice, no source.')),
  'kick.rate': () => shown(2, OWN_REPS),
  'kick.rearKnee': () => scored([165, 180], 15, 2, practice('Straight kicking leg; 15° is also the smallest angle step seen in a judging text. Common practice, no source.')),
  'steps.count': () => scored([2, 2], 0, 4, practice('The start is named for it: two steps before the hurdle.')),
  'steps.length[1]': () =>
    scored([0.7, 1.0], 0.1, 3, practice('Shorter than the 0.82–1.07 m of women sprinters out of blocks (Valamatos 2022), about 0.93–1.21 leg lengths. Common practice, no source.')),
  'steps.length[2]': () =>
    scored([0.9, 1.2], 0.1, 3, practice('Longer than the first step, shorter than the 1.06–1.30 m of women sprinters out of blocks (Valamatos 2022). Common practice, no source.')),
  'steps.time[1]': () => shown(1, OWN_MEDIAN),
  'steps.time[2]': () => shown(1, OWN_MEDIAN),
  'steps.firstLeg': () => scored([1, 1], 0, 5, practice('A two-step run starts on the lead leg. Common practice, no source.')),
  'time.toPlant': () => shown(3, OWN_REPS),
  'time.toHands': () => shown(3, OWN_REPS),
  'mark.toHands': () => shown(3, practice('Compared with the athlete’s own mark, not with a band: the spread over reps is what counts. Common practice, no source.')),
};

/** The default tolerance of one measure in one start. Throws RangeError when the start has no such measure. */
export function defaultTolerance(start: StartId, measure: MeasureId): Tolerance {
  if (!applies(start, measure)) throw new RangeError(`${start} has no measure ${measure}`);
  return { ...DRAFTS[measure](start), unit: BAND_UNITS[measure][0] };
}

function defaultsOf(start: StartId): Readonly<Partial<Record<MeasureId, Tolerance>>> {
  return Object.fromEntries(MEASURE_IDS.filter((measure) => applies(start, measure)).map((measure) => [measure, defaultTolerance(start, measure)]));
}

/** The built-in profile: every measure of every start, each entry with its basis. */
export const DEFAULT_PROFILE: Profile = {
  format: TOLERANCE_FORMAT,
  version: TOLERANCE_VERSION,
  id: 'default',
  name: 'Defaults',
  revision: 1,
  tolerances: Object.fromEntries(START_IDS.map((start) => [start, defaultsOf(start)])),
};
