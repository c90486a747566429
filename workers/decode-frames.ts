import { EncodedPacketSink, type EncodedPacket } from 'mediabunny';
import type { FrameEntry, OpenClip } from './open-clip.ts';

/** Frames that may wait in or behind the decoder at once: together with the one in use never more than four pictures live. */
const MAX_WAITING = 3;

/** One decoded frame; whoever receives it closes it. */
export interface DecodedFrame {
  /** Index into the clip's shown frames. */
  readonly index: number;
  /** Clip seconds. */
  readonly t: number;
  readonly frame: VideoFrame;
}

/** Filled in while frames are read. */
export interface DecodeReport {
  /** Clip seconds of the first frame that could not be decoded after every retry, null if all came. */
  failedAtS: number | null;
  /** Milliseconds spent waiting for the decoder. */
  waitMs: number;
}

/**
 * Decodes the shown frames `from` (inclusive) to `to` (exclusive) in the order in which they are shown.
 *
 * When the decoder fails it starts again at the last key frame, then with the software decoder; if that fails too the
 * frames end early and `report.failedAtS` says where. Stopping the loop closes the decoder and every waiting frame.
 */
export async function* decodeFrames(
  clip: OpenClip,
  from: number,
  to: number,
  report: DecodeReport,
): AsyncGenerator<DecodedFrame, void, undefined> {
  let next = from;
  let retries = 0;
  while (next < to) {
    const software = retries >= 2;
    try {
      for await (const decoded of decodeRun(clip, next, to, software, report)) {
        if (decoded.index > next) retries = 0;
        next = decoded.index + 1;
        yield decoded;
      }
      return;
    } catch (error) {
      if (!(error instanceof DecodingStopped)) throw error;
      retries += 1;
      if (retries > 2) {
        report.failedAtS = clip.frames[next]?.t ?? null;
        return;
      }
    }
  }
}

/**
 * Decodes only frames that need no other, in order of time: a quick look over a long clip. Places that are not key
 * frames of the clip are skipped. Ends early, with `report.failedAtS`, when the decoder fails.
 */
export async function* decodeKeyFrames(
  clip: OpenClip,
  indices: readonly number[],
  report: DecodeReport,
): AsyncGenerator<DecodedFrame, void, undefined> {
  for (const index of indices) {
    const entry = clip.frames[index];
    if (entry === undefined || !clip.keyDecodeIndices.includes(entry.decodeIndex)) continue;
    for await (const decoded of decodeFrames(clip, index, index + 1, report)) yield decoded;
    if (report.failedAtS !== null) return;
  }
}

/** The decoder or the file gave up; what was decoded before stays good. */
class DecodingStopped extends Error {}

async function* decodeRun(
  clip: OpenClip,
  from: number,
  to: number,
  software: boolean,
  report: DecodeReport,
): AsyncGenerator<DecodedFrame, void, undefined> {
  const wanted = clip.frames.slice(from, to);
  const indexByTimestamp = new Map(wanted.map((frame, i) => [frame.timestampUs, from + i]));
  const lastDecodeIndex = wanted.reduce((last, frame) => Math.max(last, frame.decodeIndex), -1);
  const config = await clip.track.getDecoderConfig();
  if (config === null) throw new DecodingStopped('no decoder configuration');

  const waiting: { index: number; frame: VideoFrame }[] = [];
  // Changed by the decoder's callbacks while this function waits.
  const state: { stopped: string | null; flushed: boolean } = { stopped: null, flushed: false };
  let wake: () => void = () => undefined;
  const decoder = new VideoDecoder({
    output: (frame) => {
      const index = indexByTimestamp.get(frame.timestamp);
      if (index === undefined) frame.close();
      else {
        waiting.push({ index, frame });
        waiting.sort((a, b) => a.index - b.index);
      }
      wake();
    },
    error: (error) => {
      state.stopped = error.message;
      wake();
    },
  });
  decoder.ondequeue = () => {
    wake();
  };
  const packets = await packetsFrom(clip, wanted, lastDecodeIndex);
  try {
    decoder.configure({ ...config, ...(software ? { hardwareAcceleration: 'prefer-software' } : {}) });
    let fedAll = false;
    let next = from;
    while (next < to) {
      const changed = new Promise<void>((resolve) => {
        wake = resolve;
      });
      while (state.stopped === null && !fedAll && decoder.decodeQueueSize + waiting.length < MAX_WAITING) {
        const packet = await packets.next();
        if (packet.done === true) {
          fedAll = true;
          decoder.flush().then(
            () => {
              state.flushed = true;
              wake();
            },
            (error: unknown) => {
              state.stopped ??= error instanceof Error ? error.message : 'the decoder could not finish';
              wake();
            },
          );
        } else decoder.decode(packet.value.toEncodedVideoChunk());
      }
      const first = waiting[0];
      // Decoders hand frames out in presentation order; one that does not is sorted by waiting for the next index.
      if (first !== undefined && (first.index === next || state.flushed || waiting.length > MAX_WAITING)) {
        waiting.shift();
        next = first.index + 1;
        const entry = clip.frames[first.index];
        if (entry === undefined) throw new RangeError(`no frame ${String(first.index)}`);
        yield { index: first.index, t: entry.t, frame: first.frame };
        continue;
      }
      if (state.stopped !== null) throw new DecodingStopped(state.stopped);
      if (state.flushed) {
        // The decoder swallowed the rest without an error.
        throw new DecodingStopped('frames missing');
      }
      const before = performance.now();
      await changed;
      report.waitMs += performance.now() - before;
    }
  } catch (error) {
    if (error instanceof DecodingStopped || error instanceof RangeError) throw error;
    throw new DecodingStopped(error instanceof Error ? error.message : 'the packets could not be read');
  } finally {
    if (decoder.state !== 'closed') decoder.close();
    for (const { frame } of waiting) frame.close();
    await packets.return(undefined);
  }
}

/** Packets in decoding order from the key frame at or before the first wanted frame to the last one needed. */
async function packetsFrom(
  clip: OpenClip,
  wanted: readonly FrameEntry[],
  lastDecodeIndex: number,
): Promise<AsyncGenerator<EncodedPacket, void, undefined>> {
  const firstDecodeIndex = wanted.reduce((first, frame) => Math.min(first, frame.decodeIndex), Infinity);
  let keyDecodeIndex = 0;
  for (const index of clip.keyDecodeIndices) if (index <= firstDecodeIndex) keyDecodeIndex = index;
  const sink = new EncodedPacketSink(clip.track);
  const keyEntry = clip.frames.find((frame) => frame.decodeIndex === keyDecodeIndex);
  const start = await startPacket(sink, clip, keyEntry);
  const skipBefore = keyDecodeIndex > 0 ? (keyEntry?.timestampUs ?? -Infinity) : -Infinity;
  async function* list(): AsyncGenerator<EncodedPacket, void, undefined> {
    let decodeIndex = start.isFirst ? 0 : keyDecodeIndex;
    for await (const packet of sink.packets(start.packet)) {
      if (decodeIndex > lastDecodeIndex) return;
      decodeIndex += 1;
      // Pictures shown before the key frame but stored after it lean on frames that this run does not decode.
      if (packet.microsecondTimestamp < skipBefore) continue;
      yield packet;
    }
  }
  return list();
}

async function startPacket(
  sink: EncodedPacketSink,
  clip: OpenClip,
  keyEntry: FrameEntry | undefined,
): Promise<{ packet: EncodedPacket | undefined; isFirst: boolean }> {
  if (keyEntry === undefined || keyEntry.decodeIndex === clip.keyDecodeIndices[0]) {
    return { packet: (await sink.getFirstPacket()) ?? undefined, isFirst: true };
  }
  // Half a microsecond above the whole number: timestamps in the file are cut down to whole microseconds.
  const packet = await sink.getKeyPacket((keyEntry.timestampUs + 0.5) / 1e6);
  if (packet?.microsecondTimestamp === keyEntry.timestampUs) return { packet, isFirst: false };
  return { packet: (await sink.getFirstPacket()) ?? undefined, isFirst: true };
}
