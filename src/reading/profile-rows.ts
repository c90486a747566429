import type { AnalysisProfile } from './reading.ts';

/** One step of the way from the file to the cue. */
export interface ProfileRow {
  readonly what: string;
  /** Milliseconds in all, summed over the workers that shared it. */
  readonly ms: number;
  /** Milliseconds a measured frame, null for what is done once. */
  readonly perFrameMs: number | null;
}

/** Where the time of one clip went, step by step in the order of the work; `readMs` is the reading, which runs after the analysis. */
export function profileRows(profile: AnalysisProfile, readMs: number): readonly ProfileRow[] {
  const once = (what: string, ms: number): ProfileRow => ({ what, ms, perFrameMs: null });
  const each = (what: string, ms: number): ProfileRow => ({ what, ms, perFrameMs: ms / Math.max(profile.frames, 1) });
  return [
    once('open the file, list its frames', profile.openMs),
    once('start the backend, load the models', profile.prepareMs),
    once('find the athlete', profile.findMs),
    each('wait for the decoder', profile.decodeMs),
    each('copy pixels', profile.copyMs),
    each('cut out the athlete, run the body model', profile.inferMs),
    each('judge the picture', profile.qualityMs),
    each('read: track, moments, measures, cue', readMs),
  ];
}
