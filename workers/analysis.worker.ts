import { expose } from 'comlink';
import { analyseClip } from './analyse-clip.ts';
import type { AnalysisWorker } from './contract.ts';
import { openClip } from './open-clip.ts';
import { takeStills } from './take-stills.ts';
import { success } from '../src/units/outcome.ts';

const worker: AnalysisWorker = {
  async inspect(file) {
    const opened = await openClip(file);
    if (!opened.ok) return opened;
    opened.value.input.dispose();
    return success(opened.value.info);
  },
  analyse: analyseClip,
  stills: takeStills,
};

expose(worker);
