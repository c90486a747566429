import type { Engine } from '../../src/state/engine.ts';
import type { Analysis, Overrides, Reading } from '../../src/reading/reading.ts';
import { failure, success, type Outcome } from '../../src/units/outcome.ts';
import type { AnalysisRequest, Progress } from '../../workers/contract.ts';

/** An analysis that waits for the test to finish it. */
export interface OpenJob {
  readonly file: File;
  readonly request: AnalysisRequest;
  readonly report: (progress: Progress) => void;
  readonly finish: (outcome: Outcome<Analysis>) => void;
  readonly signal: AbortSignal;
}

/** An engine whose jobs the test finishes by hand; it ends a job as cancelled when it is aborted, as the bridge does. */
export function fakeEngine(read: (analysis: Analysis, overrides: Overrides) => Reading): Engine & { readonly jobs: OpenJob[]; readonly readings: Overrides[] } {
  const jobs: OpenJob[] = [];
  const readings: Overrides[] = [];
  return {
    jobs,
    readings,
    analyse: (file, request, report, signal) =>
      new Promise((resolve) => {
        signal.addEventListener('abort', () => { resolve(failure({ kind: 'cancelled' })); });
        jobs.push({ file, request, report, finish: resolve, signal });
      }),
    stills: () => Promise.resolve(success([])),
    read(analysis, overrides) {
      readings.push(overrides);
      return read(analysis, overrides);
    },
  };
}
