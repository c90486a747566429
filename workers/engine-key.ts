import type { AnalysisRequest } from './contract.ts';
import { ENGINE_VERSION } from './engine-version.ts';
import { JOINT_HEAD_FILES, LANDMARK_MODEL_FILES } from './model-files.ts';

/** What tells results of this engine from those of another: its version and the weights, whose file names carry their content's hash once built. */
export function engineKey(model: AnalysisRequest['model']): string {
  const sources = [LANDMARK_MODEL_FILES[model], ...(model === 'full' ? [JOINT_HEAD_FILES] : [])];
  const names = sources.map((source) => ('weightsUrl' in source ? source.weightsUrl.slice(source.weightsUrl.lastIndexOf('/') + 1) : ''));
  return [ENGINE_VERSION, ...names].join(' ');
}
