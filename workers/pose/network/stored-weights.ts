import type { io } from '@tensorflow/tfjs-core';

/** One stored array of numbers. */
export interface StoredArray {
  readonly shape: readonly number[];
  readonly values: Float32Array | Int32Array;
}

/** Reads one of a stored model's arrays by name; null where there is none of this name. Throws RangeError for a way of storing that is not known here. */
export function storedArray(name: string, specs: readonly io.WeightsManifestEntry[], weights: ArrayBuffer): StoredArray | null {
  let offset = 0;
  for (const spec of specs) {
    const bytes = bytesOf(spec);
    if (spec.name === name) {
      if (offset + bytes > weights.byteLength) throw new RangeError(`the weights end before ${name}`);
      return { shape: spec.shape, values: values(spec, weights.slice(offset, offset + bytes)) };
    }
    offset += bytes;
  }
  return null;
}

function values({ name, dtype, quantization }: io.WeightsManifestEntry, bytes: ArrayBuffer): Float32Array | Int32Array {
  if (quantization === undefined && dtype === 'float32') return new Float32Array(bytes);
  if (quantization === undefined && dtype === 'int32') return new Int32Array(bytes);
  if (quantization?.dtype === 'float16') return floatsFromHalves(new Uint16Array(bytes));
  throw new RangeError(`${name} is stored in a way that is not known here`);
}

/** Bytes of one stored array. Throws RangeError for a way of storing that is not known here. */
export function bytesOf({ shape, dtype, quantization }: io.WeightsManifestEntry): number {
  const count = shape.reduce((product, side) => product * side, 1);
  const stored = quantization?.dtype ?? dtype;
  if (stored === 'float32' || stored === 'int32') return 4 * count;
  if (stored === 'float16' || stored === 'uint16') return 2 * count;
  if (stored === 'uint8' || stored === 'bool') return count;
  throw new RangeError(`weights of type ${stored} are not known here`);
}

/** Every half-precision number as a 32-bit one; made once, because models hold millions. */
let halfTable: Float32Array | null = null;

/** 32-bit numbers from IEEE 754 half-precision ones. */
export function floatsFromHalves(halves: Uint16Array): Float32Array {
  const table = (halfTable ??= Float32Array.from({ length: 65_536 }, (_, half) => floatFromHalf(half)));
  const floats = new Float32Array(halves.length);
  for (let i = 0; i < halves.length; i += 1) floats[i] = table[halves[i] as number] as number;
  return floats;
}

function floatFromHalf(half: number): number {
  const sign = half & 0x8000 ? -1 : 1;
  const exponent = (half >> 10) & 0x1f;
  const fraction = half & 0x3ff;
  if (exponent === 0) return sign * fraction * 2 ** -24;
  if (exponent === 31) return fraction === 0 ? sign * Infinity : Number.NaN;
  return sign * (1 + fraction / 1024) * 2 ** (exponent - 15);
}
