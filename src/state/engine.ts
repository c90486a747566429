import type { Analysis, Overrides, Reading } from '../reading/reading.ts';
import type { Profile } from '../tolerances/schema.ts';
import type { Outcome } from '../units/outcome.ts';
import type { MachineLimit } from '../../workers/machine-limit.ts';
import type { AnalysisRequest, Backend, Progress, Still } from '../../workers/contract.ts';

/** What the session needs from whoever measures clips: the worker behind the bridge, and the pure reading. */
export interface Engine {
  /** Measures a clip; the signal ends it at once with the problem `cancelled`. */
  analyse(
    file: File,
    request: AnalysisRequest,
    onProgress: (progress: Progress) => void,
    signal: AbortSignal,
  ): Promise<Outcome<Analysis>>;
  /** Decoded frames nearest to the given clip seconds, in the order asked. */
  stills(file: File, times: readonly number[], maxWidthPx: number, signal: AbortSignal): Promise<Outcome<readonly Still[]>>;
  /** Reads a measured clip under what the user stated, against the coach's tolerances; no model runs. The app's engine reads beside the page and promises the reading. */
  read(analysis: Analysis, overrides: Overrides, profile: Profile): Reading | Promise<Reading>;
  /** Loads ahead what the first clip will need; engines that load nothing leave it out. */
  warmUp?(): void;
  /** What one frame asks of this machine and what it could give; engines without a machine leave it out. */
  limit?(backend: Backend): Promise<Outcome<MachineLimit>>;
}
