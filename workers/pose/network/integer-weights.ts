/** Channels come in groups of this many. */
export const GROUP = 8;
export const INTEGER_BYTES = 2;
/** The kernels turn so much of a map into whole numbers at a time, bytes of these; as in kernels.as.ts. */
export const INTEGER_BLOCK_BYTES = 16_384;

/** Weights of a convolution as whole numbers of 16 bits. */
export interface IntegerWeights {
  /** [panel of eight channels][pair of numbers of the window][8][2]. */
  readonly numbers: Int16Array;
  /** For each channel, what one of its whole numbers stands for. */
  readonly scales: Float32Array;
  /** The whole number that the largest sample may become. */
  readonly largestSample: number;
}

const LARGEST = 2 ** 15 - 1;
const LARGEST_SUM = 2 ** 31 - 1;
/** Samples get so many times as fine a scale as weights: their largest stand out by more (of ¼, 1, 4, 8, 16, 32, 64 the one with the least error of joints and scores). */
const FINER_SAMPLES = 8;

/**
 * Weights by [panel][number of the window][8], an even number of them, as whole numbers: as large as 16 bits hold, but
 * never so large that a sum over the window could leave 32 bits, whatever the samples are.
 */
export function integerWeights(packed: Float32Array, panels: number): IntegerWeights {
  const window = packed.length / (panels * GROUP);
  const channels = Array.from({ length: panels * GROUP }, (_, channel) => {
    const start = Math.floor(channel / GROUP) * window * GROUP + (channel % GROUP);
    let largest = 0;
    let sum = 0;
    for (let at = start, i = 0; i < window; i += 1, at += GROUP) {
      const size = Math.abs(packed[at] as number);
      largest = Math.max(largest, size);
      sum += size;
    }
    return { start, largest, sum };
  });
  // The room for a product of a sample and the largest weight, where the sum has least.
  const room = LARGEST_SUM / Math.max(1, ...channels.map(({ largest, sum }) => (largest === 0 ? 1 : sum / largest)));
  const largestSample = Math.floor(Math.min(LARGEST, Math.sqrt(room * FINER_SAMPLES)));
  const numbers = new Int16Array(packed.length);
  const scales = Float32Array.from(channels, ({ start, largest, sum }, channel) => {
    // Rounding may add a half to each.
    const factor = largest === 0 ? 1 : Math.min(LARGEST / largest, (LARGEST_SUM / largestSample - window / 2) / sum);
    const to = Math.floor(channel / GROUP) * window * GROUP;
    for (let i = 0; i < window; i += 1) {
      numbers[to + ((i >> 1) * GROUP + (channel % GROUP)) * 2 + (i & 1)] = Math.round((packed[start + i * GROUP] as number) * factor);
    }
    return 1 / factor;
  });
  return { numbers, scales, largestSample };
}
