import { profileRows } from '../../reading/profile-rows.ts';
import type { Analysis } from '../../reading/reading.ts';
import type { MachineLimit } from '../../../workers/machine-limit.ts';

/** What the panel of times shows, beside the analysis itself. */
export interface TimesFacts {
  readonly readMs: number;
  /** Median of one drawing on the picture, null before the first. */
  readonly drawMs: number | null;
  /** When a kept result was measured, null when it was measured just now. */
  readonly measuredAt: string | null;
  /** Threads that the browser says the machine has, null when it does not say. */
  readonly threads: number | null;
  readonly limit: MachineLimit | null;
}

/** How many frames went through the body model, of how many. */
export function framesWords({ clip, profile }: Analysis): string {
  return `${profile.frames} of ${clip.frameCount} frames went through the body model`;
}

/** Where the work ran. */
export function machineWords({ track, profile }: Analysis, threads: number | null): string {
  const workers = profile.workers === 1 ? '1 worker' : `${profile.workers} workers`;
  return `${track.backend}, ${workers}, ${threads === null ? 'number of threads not told' : `a machine of ${threads} threads`}`;
}

/** How close the model comes to what the processor can do. */
export function limitWords({ backend, means, frameMultiplyAdds, frameMs, peakPerS }: MachineLimit): string {
  const perS = frameMultiplyAdds / (frameMs / 1000);
  return `One frame asks for ${(frameMultiplyAdds / 1e6).toFixed(0)} million multiply–adds and takes one worker ${frameMs.toFixed(1)} ms by ${means === 'tensors' ? `the tensor library on ${backend}` : `our own ${means}`}: ${(perS / 1e9).toFixed(1)} billion a second. A large matrix product reaches ${(peakPerS / 1e9).toFixed(1)} billion here, so the model runs at ${((100 * perS) / peakPerS).toFixed(0)} % of that.`;
}

/** The whole panel as text, to be copied into a report. */
export function timesText(analysis: Analysis, facts: TimesFacts): string {
  const { clip, profile, part } = analysis;
  const lines = profileRows(profile, facts.readMs).map(({ what, ms, perFrameMs }) =>
    `${ms.toFixed(0).padStart(7)} ms${perFrameMs === null ? ''.padStart(10) : `${perFrameMs.toFixed(1).padStart(7)} ms`}  ${what}`);
  return [
    `Lungeline ${analysis.engineVersion}, ${analysis.track.model}, ${machineWords(analysis, facts.threads)}`,
    `${clip.widthPx} × ${clip.heightPx}, ${clip.codec}, ${clip.durationS.toFixed(2)} s; measured ${part.fromS.toFixed(2)} to ${part.toS.toFixed(2)} s; ${framesWords(analysis)}`,
    facts.measuredAt === null ? 'measured just now' : `opened from this device; the times are those of ${facts.measuredAt}`,
    ' in all     a frame',
    ...lines,
    `${profile.totalMs.toFixed(0).padStart(7)} ms            from the file to the track, by the clock; the steps above are summed over the workers`,
    ...(facts.drawMs === null ? [] : [`${facts.drawMs.toFixed(1).padStart(7)} ms            draw once on the picture, median`]),
    ...(facts.limit === null ? [] : [limitWords(facts.limit)]),
    '',
  ].join('\n');
}
