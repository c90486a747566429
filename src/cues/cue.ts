import type { Cue, Finding } from '../checker/finding.ts';
import type { StartId } from '../starts/start.ts';
import { toleranceOf } from '../tolerances/edit.ts';
import type { Profile } from '../tolerances/schema.ts';
import { builtInCue } from './en.ts';
import { figureText } from './phrase.ts';

/**
 * What to say about a rep, leading cue first: findings off target before findings near it, then by weight.
 * Nothing in band, too close to call or not measured gets a cue; an empty list means that nothing can be asked for from this clip.
 * The coach's own words of the profile replace the built-in ones.
 */
export function cuesFor(findings: readonly Finding[], start: StartId, profile: Profile): readonly Cue[] {
  return findings
    .filter((finding) => finding.verdict === 'out' || finding.verdict === 'near')
    .toSorted((a, b) => rank(a) - rank(b) || b.weight - a.weight || a.measure.localeCompare(b.measure))
    .flatMap((finding) => {
      const cue = cueFor(finding, start, profile);
      return cue === null ? [] : [cue];
    });
}

/** The cue of one finding; null when it lies on no side of the band or the profile does not score it. */
function cueFor(finding: Finding, start: StartId, profile: Profile): Cue | null {
  const tolerance = toleranceOf(profile, start, finding.measure);
  if (finding.side === null || tolerance === null) return null;
  const own = finding.side === 'below' ? tolerance.cueBelow : tolerance.cueAbove;
  return {
    measure: finding.measure,
    side: finding.side,
    text: own ?? builtInCue(start, finding.measure, finding.side),
    figure: figureText(finding, tolerance.unit),
  };
}

function rank(finding: Finding): number {
  return finding.verdict === 'out' ? 0 : 1;
}
