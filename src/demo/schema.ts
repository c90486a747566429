import { z } from '../units/zod.ts';

/** A packed track of the invented club: times in microseconds, positions and their standard deviations in quarters of a pixel, scores in percent. */
export const packedTrackSchema = z.strictObject({
  timesUs: z.array(z.int()),
  widthPx: z.int().positive(),
  heightPx: z.int().positive(),
  quarterPx: z.array(z.int().nullable()),
  sdQuarterPx: z.array(z.int().nonnegative().nullable()),
  scorePercent: z.array(z.int().min(0).max(100)),
  model: z.string(),
  backend: z.string(),
});

/** A packed track. */
export type PackedTrack = z.infer<typeof packedTrackSchema>;
