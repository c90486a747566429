export { check, truthVerdict, verdictOf } from './check.ts';
export type { Cue, Finding, Verdict } from './finding.ts';
