import { AnalysisBridge } from '../bridge/analysis-bridge.ts';
import { ReadingBridge } from '../bridge/reading-bridge.ts';
import type { Engine } from './engine.ts';

/** The engine of the app: clips are measured in workers of their own, stills decoded in another and tracks read in a third, so that neither waits for a queue and the page for none. */
export function workerEngine(): Engine {
  const measuring = new AnalysisBridge();
  const showing = new AnalysisBridge();
  const reading = new ReadingBridge();
  return {
    analyse: (file, request, onProgress, signal) => measuring.analyse(signal, file, request, onProgress),
    stills: (file, times, maxWidthPx, signal) => showing.stills(signal, file, times, maxWidthPx),
    warmUp: () => {
      measuring.warmUp('full');
      reading.warmUp();
    },
    limit: (backend) => measuring.limit(new AbortController().signal, backend),
    read: (analysis, overrides, profile) => reading.read(analysis, overrides, profile),
  };
}
