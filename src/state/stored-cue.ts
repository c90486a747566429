import type { Rep } from '../athletelog/index.ts';
import { check, type Cue, type Finding } from '../checker/index.ts';
import { cuesFor } from '../cues/index.ts';
import { DEFAULT_PROFILE, layerProfiles } from '../tolerances/index.ts';
import type { Profile } from '../tolerances/schema.ts';

/**
 * The tolerances that judged a rep on its day, put together again from the stored revisions; null when one of them is
 * no longer there, or when the rep was never judged.
 */
export function profileThatJudged(profiles: readonly Profile[], judgedBy: Rep['judgedBy']): Profile | null {
  if (judgedBy === null) return null;
  const find = (id: string, revision: number): Profile | null =>
    [DEFAULT_PROFILE, ...profiles].find((each) => each.id === id && each.revision === revision) ?? null;
  const whole = find(judgedBy.id, judgedBy.revision);
  if (whole !== null) return whole;
  const layers = judgedBy.id.split('+').map((layer) => {
    const at = layer.lastIndexOf('@');
    return at < 0 ? null : find(layer.slice(0, at), Number(layer.slice(at + 1)));
  });
  const [base, ...overrides] = layers.filter((layer) => layer !== null);
  return base === undefined || overrides.length + 1 < layers.length ? null : layerProfiles(base, ...overrides);
}

/** What a stored rep says under a profile: its findings, and its cues with the leading one first. */
export function storedFindings(rep: Rep, profile: Profile): { readonly findings: readonly Finding[]; readonly cues: readonly Cue[] } {
  const findings = check(rep.start, rep.measures, profile, rep.lead);
  return { findings, cues: cuesFor(findings, rep.start, profile) };
}
