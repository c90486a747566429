import { bandText, builtInCue, MEASURE_NAMES, MOMENT_WORDS, valueText } from '../../src/cues/index.ts';
import type { MomentId } from '../../src/phases/moment.ts';
import type { MeasureId } from '../../src/shapes/measure.ts';
import { MEASURE_IDS } from '../../src/shapes/measure.ts';
import { START_NAMES } from '../../src/starts/start.ts';
import type { Tolerance } from '../../src/tolerances/index.ts';
import { BAND_UNITS, BASIS_NAMES, DEFAULT_LABEL, defaultTolerance, MEASURE_STARTS, naturalRange } from '../../src/tolerances/index.ts';
import { measurePicture } from './measure-picture.ts';

/** A file of docs/measures. */
export interface DocsFile {
  readonly name: string;
  readonly text: string;
}

interface PageText {
  /** Both steps share one page. */
  readonly ids: readonly [MeasureId, ...MeasureId[]];
  readonly what: string;
  readonly moment: MomentId | null;
  readonly when?: string;
  readonly landmarks: string;
  readonly formula: string;
  readonly sign: string;
  readonly spoils: readonly string[];
  readonly sources: readonly string[];
}

const SLANT = 'A camera that is not side-on: a true 90° knee reads up to 0.9° wrong at 10° of slant, 3.6° at 20°, 8.2° at 30° (exact geometry of a distant camera).';
const SLANT_LEAN = 'A camera that is not side-on flattens the lean: 45° reads 44.0° at 15° of slant, 43.2° at 20°, 40.9° at 30°.';
const SLANT_LENGTH = 'A camera that is not side-on shortens lengths: 1.5 % at 10° of slant, 6.0 % at 20°.';
const ROLL = 'A tilted phone: its tilt adds to the lean, degree for degree.';
const BIAS = 'The body model: stock landmarks see a bent knee too straight by several degrees (see docs/accuracy.md).';
const BLUR = 'Blur: at 5 m/s a shutter of 1/500 s smears 10 mm, 1/100 s smears 50 mm.';
const CLOTHES = 'Wide trousers or a long shirt hide the joint.';
const HIDDEN = 'The far leg is hidden behind the near one: its joints are guessed, and the interval widens.';
const TURNOUT = 'A turned-out passé leaves the picture plane: 45° of turn-out shifts the angle by 12–20°.';
const WRONG_MOMENT = 'The angle changes fast: a moment that is one frame off moves it. Its drift over the moment’s own uncertainty widens the interval.';
const TIME_BASE = 'Slow motion flattened to 30 fps: seconds are no seconds. No value is given until the clip’s speed is known.';
const FRAME = 'Frame spacing: a time between two moments is never known better than the spacing / √6 (13.6 ms at 30 fps, 6.8 ms at 60, 1.7 ms at 240).';
const UPSIDE = 'The body is upside down and turning: when the kick leaves the picture plane the value is only what the camera sees.';
const HIP_SHIFT = 'Landmarks at the hip lie 30–50 mm from the joint centre: 40 mm on a 0.37 m thigh is 6.2°.';

const DC = 'Segment lengths: Drillis & Contini (1966), Tech. Rep. 1166-03, New York University; reprinted in Winter (2009), Fig. 4.1.';
const HS = 'Harland & Steele (1997), Sports Medicine 23:11–20 (abstract seen).';
const MIL = 'Milanese et al. (2014), Biology of Sport 31:209–215 (abstract seen).';
const BEZ = 'Bezodis et al. (2019), Sports Medicine 49:1345–1364 (abstract seen).';
const VAL = 'Valamatos et al. (2022), review of the sprint start (seen in an encyclopaedia copy).';
const NEED = 'Needham et al. (2021), Scientific Reports 11:20673 (landmark offsets).';
const CAMERA = 'Camera: closed forms, tests/core/geometry.test.ts.';
const TIMING = 'Timing: uniform error within a frame; tests/core/geometry.test.ts.';
const NONE = 'No published target for tumbling starts was found.';

const KNEE_FORMULA = 'angle at the knee between knee → hip and knee → ankle';
const KNEE_SIGN = '180° straight, 90° a right angle; always 0–180°. Flexion = 180° − this.';
const LEAN_FORMULA = 'atan2(forward, up) of hip centre → shoulder centre';
const LEAN_SIGN = '0° upright, positive toward the travel.';
const LEAN_MARKS = 'both hips, both shoulders (midpoints)';
const THIGH_FORMULA = 'angle of hip → knee from the level line forward';
const THIGH_SIGN = '0° level, positive above, −90° hanging.';
const RATIO_FORMULA = 'horizontal distance ankle to ankle ÷ leg length (thigh + shank, median over the clip)';
const RATIO_SIGN = 'in leg lengths, 0 or more.';

const PAGES: readonly PageText[] = [
  { ids: ['set.backKnee'], what: 'How far the back leg is bent in the low lunge. Slightly bent, not locked.', moment: 'set', landmarks: 'hip, knee, ankle of the lead leg (it stands behind)', formula: KNEE_FORMULA, sign: KNEE_SIGN, spoils: [HIDDEN, BIAS, SLANT, CLOTHES], sources: [HS, MIL, CAMERA] },
  { ids: ['set.frontKnee'], what: 'How far the front leg is bent before the start.', moment: 'set', landmarks: 'hip, knee, ankle of the other leg (it stands in front)', formula: KNEE_FORMULA, sign: KNEE_SIGN, spoils: [BIAS, SLANT, CLOTHES], sources: [HS, BEZ, CAMERA] },
  { ids: ['set.lungeRatio'], what: 'How long the low lunge is.', moment: 'set', landmarks: 'both ankles; hips and knees for the leg length', formula: RATIO_FORMULA, sign: RATIO_SIGN, spoils: [SLANT_LENGTH, 'A leg that is never seen in the picture plane: the leg length is taken from the frames in which it is longest.'], sources: [NONE, CAMERA] },
  { ids: ['set.trunkLean'], what: 'How far the trunk leans forward before the start.', moment: 'set', landmarks: LEAN_MARKS, formula: LEAN_FORMULA, sign: LEAN_SIGN, spoils: [ROLL, SLANT_LEAN, CLOTHES, HIP_SHIFT], sources: [BEZ, NEED, CAMERA] },
  { ids: ['set.armsBehind'], what: 'How far the arms are swung back behind the trunk.', moment: 'set', landmarks: 'shoulder and elbow of each arm, shoulder centre, hip centre', formula: 'angle from shoulder centre → hip centre to shoulder → elbow, mean of both arms', sign: '0° along the trunk, 90° straight back; negative in front.', spoils: ['The far arm is hidden by the trunk.', SLANT, CLOTHES], sources: [NONE] },
  { ids: ['set.passeKnee'], what: 'How tight the standing passé is.', moment: 'set', landmarks: 'hip, knee, ankle of the lead leg', formula: KNEE_FORMULA, sign: KNEE_SIGN, spoils: [TURNOUT, BIAS, SLANT, CLOTHES], sources: [DC, CAMERA] },
  { ids: ['set.passeThigh'], what: 'How high the thigh is held in the standing passé.', moment: 'set', landmarks: 'hip and knee of the lead leg', formula: THIGH_FORMULA, sign: THIGH_SIGN, spoils: [TURNOUT, HIP_SHIFT, ROLL], sources: [DC, NEED] },
  { ids: ['passe.knee'], what: 'How tight the driven leg folds as its knee comes through.', moment: 'passe', landmarks: 'hip, knee, ankle of the lead leg', formula: KNEE_FORMULA, sign: KNEE_SIGN, spoils: [BIAS, WRONG_MOMENT, BLUR, 'Left and right swapped by the body model while the legs cross: repaired as a step of its own.', TURNOUT, SLANT], sources: [DC, CAMERA] },
  { ids: ['passe.thigh'], what: 'How high the driven knee comes.', moment: 'passe', landmarks: 'hip and knee of the lead leg', formula: THIGH_FORMULA, sign: THIGH_SIGN, spoils: [HIP_SHIFT, BLUR, ROLL], sources: [DC, NEED] },
  { ids: ['launch.trunkLean'], what: 'How far the trunk leans forward at the push-off.', moment: 'launch', landmarks: LEAN_MARKS, formula: LEAN_FORMULA, sign: LEAN_SIGN, spoils: [ROLL, WRONG_MOMENT, 'Raised arms lift the shoulder landmarks.', SLANT_LEAN, CLOTHES], sources: [HS, CAMERA] },
  { ids: ['launch.pushKnee'], what: 'How straight the pushing leg is as its foot leaves the floor.', moment: 'launch', landmarks: 'hip, knee, ankle of the other leg', formula: KNEE_FORMULA, sign: KNEE_SIGN, spoils: [WRONG_MOMENT, BLUR, CLOTHES, SLANT], sources: [NONE, CAMERA] },
  { ids: ['launch.hipSpeed'], what: 'How fast the hips travel forward at the push-off.', moment: 'launch', landmarks: 'both hips (midpoint)', formula: 'slope of a local parabola through the horizontal hip positions, ÷ leg length', sign: 'positive toward the travel.', spoils: [TIME_BASE, SLANT_LENGTH, 'A panning or shaking phone.'], sources: ['Needham et al. (2021), Sensors 21:2889: speed from one camera is off by 0.26 m/s (one standard deviation, smoothed).'] },
  { ids: ['hurdle.flight'], what: 'How long both feet are in the air after the launch.', moment: null, when: 'from the launch to the next landing of either foot', landmarks: 'heels and toes', formula: 'time of landing − time of launch', sign: 'seconds, 0 or more.', spoils: [FRAME, TIME_BASE, 'A foot that drags: leaving and landing blur.'], sources: [TIMING, 'Height of a flight from its time: Linthorne (2001), American Journal of Physics 69:1198–1204.'] },
  { ids: ['plant.lungeRatio'], what: 'How long the lunge into the round-off is.', moment: 'plant', landmarks: 'both ankles; hips and knees for the leg length', formula: RATIO_FORMULA, sign: RATIO_SIGN, spoils: [SLANT_LENGTH, WRONG_MOMENT, HIDDEN], sources: ['Straight legs opened by an angle span 2 sin(angle / 2): closed form.', NONE] },
  { ids: ['plant.trunkLean'], what: 'How far the trunk leans forward as the lunge lands.', moment: 'plant', landmarks: LEAN_MARKS, formula: LEAN_FORMULA, sign: LEAN_SIGN, spoils: [ROLL, 'Raised arms lift the shoulder landmarks.', SLANT_LEAN], sources: [NONE, CAMERA] },
  { ids: ['plant.frontKnee'], what: 'How far the front knee is bent as the foot lands.', moment: 'plant', landmarks: 'hip, knee, ankle of the lead leg', formula: KNEE_FORMULA, sign: KNEE_SIGN, spoils: [BIAS, WRONG_MOMENT, BLUR, SLANT], sources: [NONE, CAMERA] },
  { ids: ['kick.split'], what: 'How wide the legs are open as the first hand lands.', moment: 'hands', landmarks: 'both hips, both knees', formula: 'angle between hip → knee of the two legs', sign: '0° legs together, 180° a full split.', spoils: [UPSIDE, HIP_SHIFT, BLUR], sources: ['A split of 180° is asked of leaps, not of the first hand of a round-off. ' + NONE] },
  { ids: ['kick.rate'], what: 'How fast the rear leg kicks.', moment: null, when: 'highest value between the lunge and the first hand', landmarks: 'hip and knee of the other leg', formula: 'slope of a local parabola through the direction of the rear thigh; the largest size counts', sign: 'degrees a second, 0 or more.', spoils: [UPSIDE, TIME_BASE, BLUR], sources: [NONE] },
  { ids: ['kick.rearKnee'], what: 'How straight the kicking leg is as the first hand lands.', moment: 'hands', landmarks: 'hip, knee, ankle of the other leg', formula: KNEE_FORMULA, sign: KNEE_SIGN, spoils: [UPSIDE, BLUR, 'A foot out of the picture above.'], sources: [NONE] },
  { ids: ['steps.count'], what: 'How many steps come before the hurdle.', moment: null, when: 'from the first move to the launch; the skip’s own landing is not a step', landmarks: 'heels and toes', formula: 'number of landings', sign: 'a count.', spoils: ['A clip that starts too late.', 'Someone walking in front of the feet.'], sources: [NONE] },
  { ids: ['steps.length[1]', 'steps.length[2]'], what: 'How long each running step is.', moment: null, when: 'at each landing', landmarks: 'both ankles; hips and knees for the leg length', formula: 'ankle where the foot stands − ankle where the foot before stood, along the floor, ÷ leg length', sign: 'in leg lengths, positive toward the travel.', spoils: [SLANT_LENGTH, 'Perspective: a foot 0.15 m off the line of travel is 3.1 % wrong at 5 m from the camera, 1.9 % at 8 m.'], sources: [VAL, 'Stenum et al. (2021), PLoS Computational Biology 17(4):e1008935: a single step is off by 0.049 m.'] },
  { ids: ['steps.time[1]', 'steps.time[2]'], what: 'How long each running step takes.', moment: null, when: 'landing to landing; the first step counts from the first move', landmarks: 'heels and toes', formula: 'time of this landing − time of the landing before', sign: 'seconds, 0 or more.', spoils: [FRAME, TIME_BASE], sources: [TIMING] },
  { ids: ['steps.firstLeg'], what: 'Which foot takes the first step. A two-step run starts on the lead leg.', moment: null, when: 'at the first landing', landmarks: 'heels and toes', formula: 'side of the first foot that lands', sign: 'left or right, the athlete’s own.', spoils: ['Left and right swapped by the body model in a pure side view: check the picture.', 'A wrong lead leg: set it by hand.'], sources: [NONE] },
  { ids: ['time.toPlant'], what: 'How long the start takes until the lunge lands.', moment: null, when: 'from the first move to the lunge', landmarks: 'those of the two moments', formula: 'time of plant − time of first move', sign: 'seconds, 0 or more.', spoils: ['A slow sway before the start: move the first move by hand.', FRAME, TIME_BASE], sources: [TIMING] },
  { ids: ['time.toHands'], what: 'How long the start takes until the first hand lands.', moment: null, when: 'from the first move to the first hand', landmarks: 'those of the two moments', formula: 'time of hands − time of first move', sign: 'seconds, 0 or more.', spoils: ['A slow sway before the start: move the first move by hand.', FRAME, TIME_BASE], sources: [TIMING] },
  { ids: ['mark.toHands'], what: 'How far from the start mark the hands land.', moment: null, when: 'from the foremost toe before the start to the first hand', landmarks: 'toes, wrists', formula: 'along the floor, in metres', sign: 'metres, positive toward the travel. Needs a scale.', spoils: ['The scale: leg length from standing height is off by about 3 % (from memory, not checked).', SLANT_LENGTH, 'Perspective: 0.15 m off the line of travel is 3.1 % at 5 m, 1.9 % at 8 m.'], sources: [DC, CAMERA] },
];

/** Name of a measure's page without its ending, e.g. "set-back-knee"; both steps share one. */
export function pageName(id: MeasureId): string {
  return id
    .replace(/\[\d\]$/, '')
    .replaceAll('.', '-')
    .replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
}

/** Every file of docs/measures: one page and one picture a measure, and the list. */
export function measureDocs(): readonly DocsFile[] {
  return [
    ...PAGES.flatMap((page) => [
      { name: `${pageName(page.ids[0])}.md`, text: pageText(page) },
      { name: `${pageName(page.ids[0])}.svg`, text: measurePicture(page.ids[0]).svg },
    ]),
    { name: 'README.md', text: listText() },
  ];
}

function pageText(page: PageText): string {
  const [id] = page.ids;
  const unit = BAND_UNITS[id].map((name) => UNIT_LONG[name]).join(' or ');
  const range = naturalRange(id);
  const { shown } = measurePicture(id);
  return lines(
    `# ${titleOf(page)}`,
    '',
    `\`${page.ids.join('`, `')}\` · ${page.what}`,
    '',
    `![${titleOf(page)}: drawing${shown === null ? '' : `, here ${shown}`}](${pageName(id)}.svg)`,
    '',
    `Drawn with the segment lengths of Drillis & Contini (1966)${shown === null ? '' : `; the number is computed from the drawn points`}. Dark: lead leg. Grey: other leg.`,
    '',
    '| | |',
    '|---|---|',
    `| Read at | ${page.moment === null ? page.when : `\`${page.moment}\`: ${MOMENT_WORDS[page.moment].meaning}`} |`,
    `| Landmarks | ${page.landmarks} |`,
    `| Formula | ${page.formula} |`,
    `| Sign and range | ${page.sign}${range === null ? '' : ` Geometry allows ${range[0]}–${range[1]}.`} |`,
    `| Unit | ${unit} |`,
    `| Starts | ${MEASURE_STARTS[id].map((start) => START_NAMES[start]).join(', ')} |`,
    '',
    '## What spoils it',
    '',
    ...page.spoils.map((text) => `- ${text}`),
    '',
    `## Default tolerance (${DEFAULT_LABEL})`,
    '',
    ...toleranceLines(page.ids),
    '',
    '## Cue',
    '',
    ...cueLines(page.ids),
    '',
    '## Sources',
    '',
    ...page.sources.map((text) => `- ${text}`),
    '',
  );
}

const UNIT_LONG = { deg: 'degrees', leg: 'leg lengths', m: 'metres', s: 'seconds', 'leg/s': 'leg lengths a second', 'm/s': 'metres a second', 'deg/s': 'degrees a second', count: 'a count', side: 'left or right' } as const;

/** Starts that share a tolerance stand in one row. */
function toleranceLines(ids: readonly MeasureId[]): readonly string[] {
  const rows = new Map<string, string[]>();
  for (const id of ids) {
    for (const start of MEASURE_STARTS[id]) {
      const cells = toleranceCells(id, defaultTolerance(start, id));
      const who = ids.length > 1 ? MEASURE_NAMES[id] : START_NAMES[start];
      rows.set(cells, [...(rows.get(cells) ?? []), who]);
    }
  }
  return ['| for | target | near up to | importance | basis |', '|---|---|---|---|---|', ...[...rows].map(([cells, who]) => `| ${who.length === MEASURE_STARTS[ids[0] ?? 'passe.knee'].length && who.length > 1 ? 'all its starts' : who.join(', ')} | ${cells} |`)];
}

/** Target, reach of the soft margin, importance and basis of one tolerance. */
export function toleranceCells(id: MeasureId, { band, softMargin, importance, unit, basis }: Tolerance): string {
  const name = BASIS_NAMES[basis.tag];
  const source = basis.text.toLowerCase().includes(name) ? basis.text : `${name}: ${basis.text}`;
  if (band === null) return `shown, not scored | – | ${importance} | ${source}`;
  if (unit === 'side') return `the lead leg | – | ${importance} | ${source}`;
  const range = naturalRange(id);
  const low = Math.max(band[0] - softMargin, range?.[0] ?? -Infinity);
  const high = Math.min(band[1] + softMargin, range?.[1] ?? Infinity);
  const near = softMargin === 0 ? 'none' : [low < band[0] ? valueText(low, unit) : null, high > band[1] ? valueText(high, unit) : null].filter((end) => end !== null).join(' and ');
  return `${bandText(band, unit)} | ${near} | ${importance} | ${source}`;
}

function cueLines(ids: readonly MeasureId[]): readonly string[] {
  const said = new Map<string, string[]>();
  for (const id of ids) {
    for (const start of MEASURE_STARTS[id]) {
      for (const side of ['below', 'above'] as const) {
        const key = `${side}: ${builtInCue(start, id, side)}`;
        said.set(key, [...(said.get(key) ?? []), START_NAMES[start]]);
      }
    }
  }
  const all = MEASURE_STARTS[ids[0] ?? 'passe.knee'].length;
  return [...said].map(([key, starts]) => {
    const text = `${key[0]?.toUpperCase() ?? ''}${key.slice(1)}`;
    return starts.length === all ? `- ${text}` : `- ${text} (${starts.join(', ')})`;
  });
}

function titleOf({ ids }: PageText): string {
  if (ids[0] === 'steps.length[1]') return 'Length of the steps';
  if (ids[0] === 'steps.time[1]') return 'Time of the steps';
  return MEASURE_NAMES[ids[0]];
}

function listText(): string {
  return lines(
    '# Measures',
    '',
    'One page a measure. Written by `node tools/run.mjs tools/docs/write-docs.ts` from `tools/docs/measure-pages.ts` and the code; a test fails when they differ.',
    'Signs and units: [conventions](../conventions.md). Bands and their basis: [tolerances](../tolerances.md). How far off: docs/accuracy.md.',
    '',
    '| id | what | starts |',
    '|---|---|---|',
    ...MEASURE_IDS.map((id) => `| [\`${id}\`](${pageName(id)}.md) | ${MEASURE_NAMES[id]} | ${MEASURE_STARTS[id].length === 6 ? 'all' : MEASURE_STARTS[id].map((start) => START_NAMES[start]).join(', ')} |`),
    '',
  );
}

function lines(...text: readonly (string | undefined)[]): string {
  return text.filter((line) => line !== undefined).join('\n');
}
