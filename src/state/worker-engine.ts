import { AnalysisBridge } from '../bridge/analysis-bridge.ts';
import { readClip } from '../reading/read-clip.ts';
import type { Engine } from './engine.ts';

/** The engine of the app: clips are measured in one worker, stills decoded in another so that they never wait for a queue. */
export function workerEngine(): Engine {
  const measuring = new AnalysisBridge();
  const showing = new AnalysisBridge();
  return {
    analyse: (file, request, onProgress, signal) => measuring.analyse(signal, file, request, onProgress),
    stills: (file, times, maxWidthPx, signal) => showing.stills(signal, file, times, maxWidthPx),
    read: readClip,
  };
}
