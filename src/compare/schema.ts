import { z } from '../units/zod.ts';
import { MEASURE_IDS } from '../shapes/measure.ts';
import type { StopRules } from './stop-rules.ts';

/** Gate for stop rules that come from a file or from storage. */
export const stopRulesSchema: z.ZodType<StopRules> = z.strictObject({
  version: z.literal(1),
  drillTries: z.int().min(1).max(20),
  speedMeasures: z.array(z.enum(MEASURE_IDS)),
  fallingMeasures: z.array(z.enum(MEASURE_IDS)),
  fallPercent: z.number().min(0).max(100),
  fallReps: z.int().min(5).max(100),
  mostReps: z.int().min(1).max(200).nullable(),
});
