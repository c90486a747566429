import type { Analysis, Reading } from '../../src/reading/reading.ts';
import type { MeasuredRecord } from './results-schema.ts';

/** The record of one measured clip as docs/results-format.md describes it. */
export function clipRecord(
  clip: string,
  analysis: Omit<Analysis, 'clip' | 'people' | 'profile'>,
  reading: Reading,
  tookMs: number,
): MeasuredRecord {
  const { start, lead, direction } = reading;
  const [cue = null, ...otherCues] = reading.cues;
  return {
    clip,
    ok: true,
    engine: { version: analysis.engineVersion, model: analysis.track.model, backend: analysis.track.backend },
    start: { id: start.value, source: start.source, confidence: start.confidence },
    lead: { side: lead.value, source: lead.source, confidence: lead.confidence },
    direction: { value: direction.value, source: direction.source, confidence: direction.confidence },
    timeBase: reading.timeBase,
    legLengthPx: reading.legLengthPx,
    part: analysis.part,
    stoppedAtS: analysis.stoppedAtS,
    moments: reading.moments,
    steps: [...reading.steps],
    measures: reading.measures as MeasuredRecord['measures'],
    findings: reading.findings as MeasuredRecord['findings'],
    cue,
    otherCues,
    quality: { athleteHeightPx: analysis.quality.athleteHeightPx, brightness: analysis.quality.brightness, sharpness: analysis.quality.sharpness },
    tookMs,
  };
}
