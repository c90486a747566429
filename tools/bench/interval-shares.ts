import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { interiorAngleDeg, interiorAngleSdDeg, segmentAngleDeg, segmentAngleSdDeg } from '../../src/geometry/index.ts';
import type { BodyJoint } from '../../src/pose/body-track.ts';
import { bodyTrack } from '../../src/pose/body-track.ts';
import { legLengthPx } from '../../src/pose/body-scale.ts';
import { cleanTrack } from '../../src/pose/clean-track.ts';
import { frameNear } from '../../src/pose/frame-near.ts';
import { repairSwaps } from '../../src/pose/repair-swaps.ts';
import { readClip } from '../../src/reading/read-clip.ts';
import { jointsAt, STATED_SHARE, type JointAt } from '../../src/shapes/joint-at.ts';
import type { Point } from '../../src/units/point.ts';
import { percentile } from './quantiles.ts';
import { storedTrack } from './stored-tracks.ts';
import { readTruth } from './truth.ts';

const USAGE = `How large errors are beside what is stated, source by source: what the shares in src/shapes rest on (docs/accuracy.md).

  node tools/run.mjs tools/bench/interval-shares.ts CLIPS TRACKS

CLIPS holds NAME.truth.json files, TRACKS the raw tracks that "npm run measure -- … --tracks TRACKS" wrote.`;

/** An error over its stated standard deviation. */
interface Ratio {
  readonly source: string;
  readonly z: number;
}

interface TruthFrames {
  readonly frames: readonly { readonly t: number; readonly kp2d: Readonly<Record<string, readonly [number, number, number]>> }[];
}

/** Frames this near to a moment count: there the measures are read. */
const AROUND_S = 0.035;
/** A joint off by more than this, leg lengths, lies on another leg: the repair of sides answers for that, not the spread. */
const ANOTHER_LEG = 0.15;

/** Prints the table; resolves to the exit status. */
export function main(args: readonly string[]): number {
  const [clips, tracks] = args;
  if (clips === undefined || tracks === undefined) {
    process.stderr.write(`${USAGE}\n`);
    return 2;
  }
  const names = readdirSync(clips).filter((name) => name.endsWith('.truth.json')).sort();
  const byClip = names.map((name) => ratiosOf(clips, tracks, name.replace('.truth.json', ''))).filter((ratios) => ratios.length > 0);
  const single = byClip.flat();
  const ratios = [...single, ...single.filter(({ source }) => source.startsWith('joints:')).map(({ z }) => ({ source: 'joints: all', z }))];
  const lines = [...new Set(ratios.map(({ source }) => source))].sort().map((source) => {
    const sizes = ratios.filter((ratio) => ratio.source === source).map(({ z }) => Math.abs(z));
    const rms = Math.sqrt(sizes.reduce((sum, z) => sum + z * z, 0) / sizes.length);
    return `| ${source} | ${String(sizes.length)} | ${rms.toFixed(2)} | ${(percentile(sizes, 0.95) / 1.96).toFixed(2)} |`;
  });
  process.stdout.write([`${String(byClip.length)} clips`, '', '| source | values | root mean square of error / stated | 95 % of errors within stated × 1.96 × |', '|---|---|---|---|', ...lines, ''].join('\n'));
  return 0;
}

function ratiosOf(clips: string, tracks: string, name: string): Ratio[] {
  const stored = storedTrack(tracks, name);
  if (stored === null) return [];
  const path = join(clips, `${name}.truth.json`);
  const truth = readTruth(path);
  const { frames } = JSON.parse(readFileSync(path, 'utf8')) as TruthFrames;
  const reading = readClip({ ...stored, clip: { timeBase: { kind: 'known' } } }, { timeBase: { kind: 'known' } });
  const ratios: Ratio[] = [];
  for (const id of ['firstMove', 'launch', 'plant', 'hands'] as const) {
    const moment = reading.moments[id];
    if (moment.found) ratios.push({ source: id, z: (moment.t - (truth.moments[id] ?? NaN)) / moment.sd });
  }
  const body = bodyTrack(cleanTrack(repairSwaps(stored.track).track), truth.direction);
  const legPx = legLengthPx(body);
  const sign = truth.direction === 'left-to-right' ? 1 : -1;
  const moments = [...['launch', 'passe', 'plant', 'hands'] as const].map((id) => truth.moments[id] ?? NaN);
  for (const frame of frames) {
    const isRead = moments.some((t) => Math.abs(frame.t - t) < AROUND_S) || Math.abs(frame.t - (truth.moments.firstMove ?? NaN) / 2) < AROUND_S;
    if (!isRead || Math.abs(body.times[frameNear(body.times, frame.t)]! - frame.t) > 1e-3) continue;
    const jointAt = jointsAt(body, frame.t, legPx);
    for (const side of ['left', 'right'] as const) {
      const seen = (joint: BodyJoint): JointAt | null => jointAt(body[side][joint]);
      const true_ = (joint: BodyJoint): Point => {
        const [x, y] = frame.kp2d[joint + (side === 'left' ? 'L' : 'R')] ?? [NaN, NaN];
        return { x: sign * x, y };
      };
      const [hip, knee, ankle] = [seen('hip'), seen('knee'), seen('ankle')];
      if (hip === null || knee === null || ankle === null) continue;
      const [trueHip, trueKnee, trueAnkle] = [true_('hip'), true_('knee'), true_('ankle')];
      if ([[hip, trueHip], [knee, trueKnee], [ankle, trueAnkle]].some(([a, b]) => !(Math.hypot(a!.x - b!.x, a!.y - b!.y) < ANOTHER_LEG * legPx))) continue;
      const put = (source: string, error: number | null, sd: number | null): void => {
        if (error !== null && sd !== null && Number.isFinite(error)) ratios.push({ source, z: (error * STATED_SHARE) / sd });
      };
      put('joints: knee', difference(interiorAngleDeg(hip, knee, ankle), interiorAngleDeg(trueHip, trueKnee, trueAnkle)), interiorAngleSdDeg(hip, knee, ankle, hip.sd, knee.sd, ankle.sd));
      put('joints: thigh', difference(segmentAngleDeg(hip, knee, 'left-to-right'), segmentAngleDeg(trueHip, trueKnee, 'left-to-right')), segmentAngleSdDeg(hip, knee, hip.sd, knee.sd));
      put('joints: ankle along the floor', ankle.x - trueAnkle.x, ankle.sd);
    }
    const middle = (joint: BodyJoint): Point => ({ x: (sign * (frame.kp2d[`${joint}L`]![0] + frame.kp2d[`${joint}R`]![0])) / 2, y: (frame.kp2d[`${joint}L`]![1] + frame.kp2d[`${joint}R`]![1]) / 2 });
    const [hips, shoulders] = [jointAt(body.hipMid), jointAt(body.shoulderMid)];
    if (hips === null || shoulders === null) continue;
    const lean = difference(segmentAngleDeg(hips, shoulders, 'left-to-right'), segmentAngleDeg(middle('hip'), middle('shoulder'), 'left-to-right'));
    const sd = segmentAngleSdDeg(hips, shoulders, hips.sd, shoulders.sd);
    if (lean !== null && sd !== null) ratios.push({ source: 'joints: trunk', z: (lean * STATED_SHARE) / sd });
  }
  return ratios;
}

/** a − b in degrees, turned into ±180; null when either is missing. */
function difference(a: number | null, b: number | null): number | null {
  return a === null || b === null ? null : ((a - b + 540) % 360) - 180;
}
