import type { Finding } from '../checker/finding.ts';

/**
 * What to say when no cue is due: everything scored is on target, or some of it is too close to call, or nothing could be scored.
 * Null when a finding is near or off target, so that a cue is due.
 */
export function noCueWords(findings: readonly Finding[]): string | null {
  const count = (verdict: Finding['verdict']): number => findings.filter((finding) => finding.verdict === verdict).length;
  if (count('near') + count('out') > 0) return null;
  if (count('in-band') + count('too-close') === 0) return 'Nothing could be scored from this clip. See why below, and what to do next time.';
  if (count('too-close') > 0) return 'Nothing here is surely off target. Some of it is too close to call: film closer and side-on to tell.';
  if (count('not-measured') > 0) return 'All that could be measured is on target.';
  return 'All shapes are on target. Keep this start.';
}
