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
  const channels = panels * GROUP;
  const window = packed.length / channels;
  const largest = new Float64Array(channels);
  const sums = new Float64Array(channels);
  for (let first = 0, at = 0; first < channels; first += GROUP) {
    for (let place = 0; place < window; place += 1) {
      for (let channel = first; channel < first + GROUP; channel += 1, at += 1) {
        const size = Math.abs(packed[at] as number);
        if (size > (largest[channel] as number)) largest[channel] = size;
        sums[channel] = (sums[channel] as number) + size;
      }
    }
  }
  // How often the largest weight goes into the sum of all, where most often: so much smaller must its products be.
  const mostOften = sums.reduce((most, sum, channel) => Math.max(most, sum / ((largest[channel] as number) || 1)), 1);
  const largestSample = Math.floor(Math.min(LARGEST, Math.sqrt((LARGEST_SUM / mostOften) * FINER_SAMPLES)));
  // Rounding may add a half to each number.
  const room = LARGEST_SUM / largestSample - window / 2;
  const factors = largest.map((size, channel) => (size === 0 ? 1 : Math.min(LARGEST / size, room / (sums[channel] as number))));
  const numbers = new Int16Array(packed.length);
  for (let first = 0, at = 0; first < channels; first += GROUP) {
    for (let place = 0; place < window; place += 1) {
      const pair = first * window + (place >> 1) * GROUP * 2 + (place & 1);
      for (let i = 0; i < GROUP; i += 1, at += 1) numbers[pair + i * 2] = Math.round((packed[at] as number) * (factors[first + i] as number));
    }
  }
  return { numbers, scales: Float32Array.from(factors, (factor) => 1 / factor), largestSample };
}
