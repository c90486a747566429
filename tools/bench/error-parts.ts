import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { interiorAngleDeg, leanFromVerticalDeg } from '../../src/geometry/index.ts';
import type { MomentId } from '../../src/phases/moment.ts';
import { BODY_JOINTS, bodyTrack, midPath, type BodyTrack, type Path } from '../../src/pose/body-track.ts';
import { cleanTrack } from '../../src/pose/clean-track.ts';
import { frameNear } from '../../src/pose/frame-near.ts';
import { repairSwaps } from '../../src/pose/repair-swaps.ts';
import { readClip } from '../../src/reading/read-clip.ts';
import type { Overrides, Reading } from '../../src/reading/reading.ts';
import type { MeasureId } from '../../src/shapes/measure.ts';
import { otherSide, type Side } from '../../src/starts/start.ts';
import type { Point } from '../../src/units/point.ts';
import { median } from './quantiles.ts';
import { storedTrack } from './stored-tracks.ts';
import { readTruth } from './truth.ts';

const USAGE = `Splits the errors of six angles into where they arise (docs/accuracy.md).

  node tools/run.mjs tools/bench/error-parts.ts CLIPS TRACKS [--each]

CLIPS holds NAME.truth.json files, TRACKS the raw tracks that "npm run measure -- … --tracks TRACKS" wrote.
  picture   the angle in the picture less the angle in space
  model     the model's joints in the one frame nearest to the true moment (in the set: the middle one of all frames)
  fit       what smoothing and undoing the camera make of it, at the true moment
  moment    what is read at the moment found less what is read at the true one`;

/** The parts of a truth file that are read beside readTruth. */
interface TruthFile {
  readonly frames: readonly { readonly t: number; readonly kp2d: Readonly<Record<string, readonly [number, number, number]>> }[];
  readonly measures: {
    readonly passe: { readonly knee_2d_deg: number };
    readonly passe_static: { readonly knee_2d_deg: number } | null;
    readonly stance: { readonly back_knee_2d_deg: number | null };
    readonly lunge: { readonly front_knee_2d_deg: number };
    readonly launch: { readonly trunk_2d_deg: number; readonly push_knee_2d_deg: number };
  };
}

interface Parts {
  readonly clip: string;
  readonly id: MeasureId;
  readonly total: number;
  readonly picture: number;
  readonly model: number;
  readonly fit: number;
  readonly moment: number;
}

const PARTS = ['total', 'picture', 'model', 'fit', 'moment'] as const;
type AngleAt = (body: BodyTrack, frame: number) => number;

const at = (path: Path, frame: number): Point => ({ x: path.x[frame]!, y: path.y[frame]! });
const knee = (side: Side): AngleAt => ({ [side]: limbs }, frame) => interiorAngleDeg(at(limbs.hip, frame), at(limbs.knee, frame), at(limbs.ankle, frame)) ?? NaN;
const lean: AngleAt = (body, frame) => leanFromVerticalDeg(at(body.hipMid, frame), at(body.shoulderMid, frame), 'left-to-right') ?? NaN;

/** Prints the table; returns the exit status. */
export function main(args: readonly string[]): number {
  const [clips, tracks] = args;
  if (clips === undefined || tracks === undefined) {
    process.stderr.write(`${USAGE}\n`);
    return 2;
  }
  const names = readdirSync(clips).filter((name) => name.endsWith('.truth.json')).map((name) => name.replace('.truth.json', '')).sort();
  const parts = names.flatMap((name) => partsOf(clips, tracks, name));
  const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
  const lines = [...new Set(parts.map(({ id }) => id))].map((id) => {
    const own = parts.filter((one) => one.id === id);
    const cells = PARTS.map((part) => `${mean(own.map((one) => Math.abs(one[part]))).toFixed(1)} (${mean(own.map((one) => one[part])).toFixed(1)})`);
    return `| ${id} | ${String(own.length)} | ${cells.join(' | ')} |`;
  });
  process.stdout.write([`| measure | clips | ${PARTS.join(' | ')} |`, `|---|---|${PARTS.map(() => '---').join('|')}|`, ...lines, 'Degrees: mean absolute error (mean error).', ''].join('\n'));
  if (args.includes('--each')) process.stdout.write(`${parts.map((one) => `${one.clip} ${one.id}: ${PARTS.map((part) => `${part} ${one[part].toFixed(1)}`).join(', ')}`).join('\n')}\n`);
  return 0;
}

function partsOf(clips: string, tracks: string, clip: string): Parts[] {
  const stored = storedTrack(tracks, clip);
  if (stored === null) return [];
  const { track } = stored;
  const path = join(clips, `${clip}.truth.json`);
  const truth = readTruth(path);
  const { frames, measures: m } = JSON.parse(readFileSync(path, 'utf8')) as TruthFile;
  const seen = bodyTrack(cleanTrack(repairSwaps(track).track), truth.direction);
  const true_ = trueBody(seen, frames, truth.direction === 'left-to-right' ? 1 : -1);
  const read = (more: Overrides = {}): Reading => readClip({ ...stored, clip: { timeBase: { kind: 'known' } } }, { timeBase: { kind: 'known' }, ...more });
  const { moments: { launch, passe, plant, hands } } = truth;
  const found = read();
  const atTruth = read({ start: truth.start, lead: truth.lead, direction: truth.direction, moments: { ...(launch && { launch }), ...(passe && { passe }), ...(plant && { plant }), ...(hands && { hands }) } });
  const modelError = (angle: AngleAt, moment: MomentId | null): number => {
    const t = moment === null ? null : truth.moments[moment] ?? NaN;
    const until = frameNear(seen.times, truth.moments.firstMove ?? NaN);
    const chosen = t === null ? Array.from({ length: until }, (_, frame) => frame) : [frameNear(seen.times, t)];
    return median(chosen.map((frame) => angle(seen, frame) - angle(true_, frame)).filter(Number.isFinite));
  };
  const lead = knee(truth.lead);
  const rows: readonly (readonly [MeasureId, MomentId | null, AngleAt, number | null | undefined])[] = [
    ['set.backKnee', null, lead, m.stance.back_knee_2d_deg],
    ['set.passeKnee', null, lead, m.passe_static?.knee_2d_deg],
    ['passe.knee', 'passe', lead, m.passe.knee_2d_deg],
    ['launch.trunkLean', 'launch', lean, m.launch.trunk_2d_deg],
    ['launch.pushKnee', 'launch', knee(otherSide(truth.lead)), m.launch.push_knee_2d_deg],
    ['plant.frontKnee', 'plant', lead, m.lunge.front_knee_2d_deg],
  ];
  return rows.flatMap(([id, moment, angle, picture]): Parts[] => {
    const inSpace = truth.measures[id]?.value;
    const measured = found.measures[id];
    const measuredAtTruth = moment === null ? measured : atTruth.measures[id];
    if (inSpace === undefined || picture === null || picture === undefined || measured?.measured !== true || measuredAtTruth?.measured !== true) return [];
    const model = modelError(angle, moment);
    return [{
      clip, id, total: measured.value - inSpace, picture: picture - inSpace, model,
      fit: measuredAtTruth.value - picture - model, moment: measured.value - measuredAtTruth.value,
    }];
  });
}

/** The true joints in the frames of a track; NaN where the truth has no such frame. */
function trueBody(like: BodyTrack, frames: TruthFile['frames'], sign: 1 | -1): BodyTrack {
  const nearest = Array.from(like.times, (t) => frames.find((frame) => Math.abs(frame.t - t) < 1e-3));
  const limbs = (side: Side): BodyTrack['left'] => Object.fromEntries(BODY_JOINTS.map((joint) => {
    const points = nearest.map((frame) => frame?.kp2d[joint + (side === 'left' ? 'L' : 'R')] ?? [NaN, NaN]);
    return [joint, { ...like[side][joint], x: Float64Array.from(points, ([x]) => sign * x), y: Float64Array.from(points, ([, y]) => y) }];
  })) as unknown as BodyTrack['left'];
  const [left, right] = [limbs('left'), limbs('right')];
  return { ...like, left, right, hipMid: midPath(left.hip, right.hip), shoulderMid: midPath(left.shoulder, right.shoulder) };
}
