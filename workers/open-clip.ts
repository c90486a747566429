import { ALL_FORMATS, BlobSource, EncodedPacketSink, Input, type InputVideoTrack } from 'mediabunny';
import type { ClipInfo, TimeBase } from '../src/clip/clip-info.ts';
import { failure, success, type Outcome } from '../src/units/outcome.ts';
import { readLensMm } from './read-lens.ts';
import { MAX_PART_S } from './find-part.ts';

/** Largest file opened, bytes (chosen: 4 GB, the limit of phone file systems that split longer recordings). */
export const MAX_FILE_BYTES = 4e9;
/** Most frames listed in a clip (chosen: 60,000 = 4 min at 240 frames per second, 16 min at 60). */
export const MAX_FRAMES = 60_000;

/** One frame of the clip in the order in which it is shown. */
export interface FrameEntry {
  /** Clip seconds: presentation timestamp minus that of the first shown frame. */
  readonly t: number;
  /** Presentation timestamp in the file, whole microseconds: the key by which a decoded frame is recognised. */
  readonly timestampUs: number;
  /** Place in decoding order, 0 for the first packet. */
  readonly decodeIndex: number;
}

/** A clip that is open for decoding. */
export interface OpenClip {
  readonly input: Input;
  readonly track: InputVideoTrack;
  readonly info: ClipInfo;
  /** Shown frames, times strictly increasing. */
  readonly frames: readonly FrameEntry[];
  /** Places in decoding order of the packets that start decoding, ascending. */
  readonly keyDecodeIndices: readonly number[];
}

/** Shown frames that can be decoded without any other, ascending. */
export function keyFramesOf(clip: OpenClip): readonly number[] {
  const keys = new Set(clip.keyDecodeIndices);
  return clip.frames.flatMap((frame, index) => (keys.has(frame.decodeIndex) ? [index] : []));
}

const CONTAINER_NAMES: Readonly<Record<string, string>> = { 'QuickTime File Format': 'QuickTime' };

/** Opens a clip and lists its frames from the container, without decoding; the problem when it cannot be decoded here. */
export async function openClip(file: File): Promise<Outcome<OpenClip>> {
  const fileName = file.name;
  if (file.size === 0) return failure({ kind: 'empty-file', fileName });
  if (file.size > MAX_FILE_BYTES) return failure({ kind: 'file-too-big', sizeBytes: file.size, limitBytes: MAX_FILE_BYTES });
  const input = new Input({ source: new BlobSource(file), formats: ALL_FORMATS });
  let opened: Outcome<OpenClip>;
  try {
    opened = await openInput(input, file);
  } catch {
    // The demuxer throws plain errors on broken bytes; whatever it is, the file cannot be read.
    opened = failure({ kind: 'unreadable-file', fileName });
  }
  if (!opened.ok) input.dispose();
  return opened;
}

async function openInput(input: Input, file: File): Promise<Outcome<OpenClip>> {
  const fileName = file.name;
  if (!(await input.canRead())) return failure({ kind: 'unreadable-file', fileName });
  const track = await input.getPrimaryVideoTrack();
  if (track === null) {
    // Without any track the index itself is broken; that is no clip without a picture.
    const tracks = await input.getTracks();
    return failure({ kind: tracks.length === 0 ? 'unreadable-file' : 'no-video-track', fileName });
  }
  const codec = await track.getCodec();
  if (codec === null || !(await track.canDecode())) {
    const named = codec ?? (await track.getInternalCodecId());
    return failure({ kind: 'codec-not-decodable', fileName, codec: typeof named === 'string' ? named : 'unknown' });
  }
  const listed = await listFrames(track);
  if (listed === 'too-many') {
    const durationS = (await input.getDurationFromMetadata([track])) ?? Infinity;
    return failure({ kind: 'clip-too-long', durationS, limitS: MAX_PART_S });
  }
  const { frames, keyDecodeIndices, lastDurationS } = listed;
  const last = frames.at(-1);
  if (last === undefined) return failure({ kind: 'unreadable-file', fileName });
  const format = await input.getFormat();
  const fps = frameRates(frames.map((frame) => frame.t), lastDurationS);
  const info: ClipInfo = {
    fileName,
    sizeBytes: file.size,
    container: CONTAINER_NAMES[format.name] ?? format.name,
    codec,
    widthPx: await track.getDisplayWidth(),
    heightPx: await track.getDisplayHeight(),
    rotationDeg: await track.getRotation(),
    isMirrored: await track.getFlip(),
    equivalentFocalMm: await readLensMm(file),
    durationS: last.t + lastDurationS,
    fps,
    frameCount: frames.length,
    isHdr: await track.hasHighDynamicRange(),
    timeBase: await statedTimeBase(input, fps.median),
  };
  return success({ input, track, info, frames, keyDecodeIndices });
}

async function listFrames(
  track: InputVideoTrack,
): Promise<'too-many' | { frames: FrameEntry[]; keyDecodeIndices: number[]; lastDurationS: number }> {
  const shown: { timestamp: number; timestampUs: number; decodeIndex: number; durationS: number }[] = [];
  const keyDecodeIndices: number[] = [];
  let decodeIndex = 0;
  for await (const packet of new EncodedPacketSink(track).packets(undefined, undefined, { metadataOnly: true })) {
    if (decodeIndex >= MAX_FRAMES) return 'too-many';
    if (packet.type === 'key') keyDecodeIndices.push(decodeIndex);
    // Frames before zero are cut away by the file's edit list and never shown; half a millisecond covers rounding.
    if (packet.timestamp >= -0.0005) {
      shown.push({
        timestamp: packet.timestamp,
        timestampUs: packet.microsecondTimestamp,
        decodeIndex,
        durationS: packet.duration,
      });
    }
    decodeIndex += 1;
  }
  shown.sort((a, b) => a.timestampUs - b.timestampUs);
  const distinct = shown.filter((frame, i) => frame.timestampUs !== shown[i - 1]?.timestampUs);
  const first = distinct[0]?.timestamp ?? 0;
  const frames = distinct.map(({ timestamp, timestampUs, decodeIndex: place }) => ({
    t: timestamp - first,
    timestampUs,
    decodeIndex: place,
  }));
  return { frames, keyDecodeIndices, lastDurationS: distinct.at(-1)?.durationS ?? 0 };
}

/** Slowest, median and fastest frames per second out of increasing times in seconds; one frame falls back to its duration, 0 when that is unknown. */
export function frameRates(times: readonly number[], lastDurationS: number): ClipInfo['fps'] {
  const spacings: number[] = [];
  for (let i = 1; i < times.length; i += 1) spacings.push((times[i] ?? 0) - (times[i - 1] ?? 0));
  if (spacings.length === 0) {
    const rate = lastDurationS > 0 ? 1 / lastDurationS : 0;
    return { min: rate, median: rate, max: rate };
  }
  spacings.sort((a, b) => a - b);
  const at = (part: number): number => 1 / (spacings[Math.round((spacings.length - 1) * part)] ?? 1);
  return { min: at(1), median: at(0.5), max: at(0) };
}

/**
 * The time base that the file states. Phones that slow a recording down may write the capture rate into the file
 * (`com.android.capture.fps`); what the frame rate and the fall of the body say without it is settled by the reading.
 */
async function statedTimeBase(input: Input, shownFps: number): Promise<TimeBase> {
  const raw = (await input.getMetadataTags()).raw ?? {};
  const stated = Object.entries(raw).find(([key]) => key.toLowerCase().includes('capture.fps'))?.[1];
  const captureFps = captureRate(stated);
  if (captureFps === null || shownFps <= 0) return { kind: 'assumed' };
  const factor = captureFps / shownFps;
  // 10 % covers a variable frame rate around its nominal value.
  if (factor < 1.1) return { kind: 'known' };
  return { kind: 'slowed', factor };
}

function captureRate(stated: unknown): number | null {
  let value = Number.NaN;
  if (typeof stated === 'string' || typeof stated === 'number') value = Number(stated);
  else if (stated instanceof Uint8Array && stated.byteLength === 4) {
    value = new DataView(stated.buffer, stated.byteOffset).getFloat32(0);
  }
  return Number.isFinite(value) && value >= 1 && value <= 2000 ? value : null;
}
