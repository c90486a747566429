/*
 * The arithmetic of the pose network on 4 numbers at a time, in AssemblyScript (https://www.assemblyscript.org).
 * `npm run kernels` compiles it twice: kernels-fused.wasm uses fused multiply–adds where the browser has relaxed SIMD,
 * kernels-plain.wasm only the SIMD that every current browser has.
 *
 * All numbers are 32-bit floats; all maps lie row by row, pixel by pixel, with `pitch` bytes from pixel to pixel; pitch
 * is a multiple of 32, so that channels come in whole groups of eight. Sizes and strides are in bytes unless named
 * otherwise. Every kernel clamps its result to `low`..`high` (the activations relu and relu6; or ±infinity for none).
 */

// @ts-ignore: decorator
@inline
function madd(a: v128, b: v128, c: v128): v128 {
  if (ASC_FEATURE_RELAXED_SIMD) return f32x4.relaxed_madd(a, b, c);
  return f32x4.add(f32x4.mul(a, b), c);
}

// @ts-ignore: decorator
@inline
function clamped(x: v128, low: v128, high: v128): v128 {
  return f32x4.pmin(f32x4.pmax(x, low), high);
}

/** Eight channels of one pixel, `at` bytes into the result, with what lies there in the map `plus`, 0 for none. */
// @ts-ignore: decorator
@inline
function storePixel(c0: v128, c1: v128, out: usize, plus: usize, at: usize, lows: v128, highs: v128): void {
  if (plus != 0) {
    c0 = f32x4.add(c0, v128.load(plus + at)); c1 = f32x4.add(c1, v128.load(plus + at, 16));
  }
  v128.store(out + at, clamped(c0, lows, highs)); v128.store(out + at, clamped(c1, lows, highs), 16);
}

/** The same of four pixels next to each other. */
// @ts-ignore: decorator
@inline
function storeTile(
  c00: v128, c01: v128, c10: v128, c11: v128, c20: v128, c21: v128, c30: v128, c31: v128,
  out: usize, plus: usize, at: usize, pitch: usize, lows: v128, highs: v128,
): void {
  if (plus != 0) {
    let q = plus + at;
    c00 = f32x4.add(c00, v128.load(q)); c01 = f32x4.add(c01, v128.load(q, 16)); q += pitch;
    c10 = f32x4.add(c10, v128.load(q)); c11 = f32x4.add(c11, v128.load(q, 16)); q += pitch;
    c20 = f32x4.add(c20, v128.load(q)); c21 = f32x4.add(c21, v128.load(q, 16)); q += pitch;
    c30 = f32x4.add(c30, v128.load(q)); c31 = f32x4.add(c31, v128.load(q, 16));
  }
  let o = out + at;
  v128.store(o, clamped(c00, lows, highs)); v128.store(o, clamped(c01, lows, highs), 16); o += pitch;
  v128.store(o, clamped(c10, lows, highs)); v128.store(o, clamped(c11, lows, highs), 16); o += pitch;
  v128.store(o, clamped(c20, lows, highs)); v128.store(o, clamped(c21, lows, highs), 16); o += pitch;
  v128.store(o, clamped(c30, lows, highs)); v128.store(o, clamped(c31, lows, highs), 16);
}

/** As much of the picture as is kept at hand while the weights of eight channels pass over it. */
const BLOCK_BYTES: usize = 131072;

/**
 * A convolution whose windows are runs of numbers that lie together: 1 × 1, n × n with stride n, or the first layer.
 * Out of `rows` × `columns` windows come as many pixels; the window of row r and column c starts at
 * a + r·aRow + c·aColumn and holds `runs` runs of `runBytes`, `runStride` apart. `w` holds the weights for eight channels
 * after another, [panel][number of the window][8]; `bias` one number a channel. `plus`, 0 for none, is a map of the same
 * size as the result that is added before the clamp.
 */
export function convolve(
  rows: i32, columns: i32, a: usize, aRow: usize, aColumn: usize, runs: i32, runBytes: usize, runStride: usize,
  w: usize, bias: usize, panels: i32, out: usize, plus: usize, low: f32, high: f32,
): void {
  const lows = f32x4.splat(low), highs = f32x4.splat(high);
  const pitch = <usize>panels << 5;
  const windowBytes = runBytes * <usize>runs;
  const panelBytes = windowBytes << 3;
  let block = <i32>(BLOCK_BYTES / windowBytes) & ~3;
  if (block < 4) block = 4;
  const d1 = aColumn, d2 = aColumn * 2, d3 = aColumn * 3;
  for (let row = 0; row < rows; row += 1) {
    const aLine = a + <usize>row * aRow;
    const outLine = <usize>row * <usize>columns * pitch;
    for (let from = 0; from < columns; from += block) {
      const to = min(from + block, columns);
      for (let panel = 0; panel < panels; panel += 1) {
        const wPanel = w + <usize>panel * panelBytes;
        const offset = outLine + (<usize>panel << 5);
        const bias0 = v128.load(bias + (<usize>panel << 5)), bias1 = v128.load(bias + (<usize>panel << 5), 16);
        let column = from;
        for (; column + 4 <= to; column += 4) {
          let c00 = bias0, c01 = bias1, c10 = bias0, c11 = bias1, c20 = bias0, c21 = bias1, c30 = bias0, c31 = bias1;
          let wp = wPanel;
          let run = aLine + <usize>column * aColumn;
          for (let n = 0; n < runs; n += 1) {
            let p = run;
            const end = p + runBytes;
            while (p < end) {
              const w0 = v128.load(wp), w1 = v128.load(wp, 16);
              let s = v128.load_splat<f32>(p);
              c00 = madd(s, w0, c00); c01 = madd(s, w1, c01);
              s = v128.load_splat<f32>(p + d1);
              c10 = madd(s, w0, c10); c11 = madd(s, w1, c11);
              s = v128.load_splat<f32>(p + d2);
              c20 = madd(s, w0, c20); c21 = madd(s, w1, c21);
              s = v128.load_splat<f32>(p + d3);
              c30 = madd(s, w0, c30); c31 = madd(s, w1, c31);
              p += 4; wp += 32;
            }
            run += runStride;
          }
          const at = offset + <usize>column * pitch;
          storeTile(c00, c01, c10, c11, c20, c21, c30, c31, out, plus, at, pitch, lows, highs);
        }
        for (; column < to; column += 1) {
          let c0 = bias0, c1 = bias1;
          let wp = wPanel;
          let run = aLine + <usize>column * aColumn;
          for (let n = 0; n < runs; n += 1) {
            let p = run;
            const end = p + runBytes;
            while (p < end) {
              const s = v128.load_splat<f32>(p);
              c0 = madd(s, v128.load(wp), c0); c1 = madd(s, v128.load(wp, 16), c1);
              p += 4; wp += 32;
            }
            run += runStride;
          }
          const at = offset + <usize>column * pitch;
          storePixel(c0, c1, out, plus, at, lows, highs);
        }
      }
    }
  }
}

/** As much of the picture as is kept at hand as whole numbers. */
const INTEGER_BLOCK_BYTES: usize = 16384;

/** The bits of a difference; those of the difference of two infinities tell processors apart (see load-kernels.ts). */
export function bitsOfDifference(a: f32, b: f32): i32 {
  return reinterpret<i32>(a - b);
}

/** The largest magnitude of the samples of some windows; see convolve. */
// @ts-ignore: decorator
@inline
function largestSample(a: usize, columns: i32, aColumn: usize, runs: i32, runBytes: usize, runStride: usize): f32 {
  let largest = f32x4.splat(0);
  for (let column = 0; column < columns; column += 1) {
    let run = a + <usize>column * aColumn;
    for (let n = 0; n < runs; n += 1) {
      const end = run + runBytes;
      for (let p = run; p < end; p += 32) {
        largest = f32x4.pmax(largest, f32x4.pmax(f32x4.abs(v128.load(p)), f32x4.abs(v128.load(p, 16))));
      }
      run += runStride;
    }
  }
  return max(
    max(f32x4.extract_lane(largest, 0), f32x4.extract_lane(largest, 1)), max(f32x4.extract_lane(largest, 2), f32x4.extract_lane(largest, 3)));
}

/** Windows as whole numbers of 16 bits, one after another: samples times `scale`, rounded. Results must lie within ±32767. */
// @ts-ignore: decorator
@inline
function toIntegers(a: usize, columns: i32, aColumn: usize, runs: i32, runBytes: usize, runStride: usize, scale: f32, out: usize): void {
  // Added to a number below 2²² it leaves the nearest whole number in the last bits.
  const shift = f32x4.splat(12582912), shiftBits = i32x4.splat(0x4b400000);
  const scales = f32x4.splat(scale);
  let at = out;
  for (let column = 0; column < columns; column += 1) {
    let run = a + <usize>column * aColumn;
    for (let n = 0; n < runs; n += 1) {
      const end = run + runBytes;
      for (let p = run; p < end; p += 32) {
        const first = i32x4.sub(madd(v128.load(p), scales, shift), shiftBits);
        const second = i32x4.sub(madd(v128.load(p, 16), scales, shift), shiftBits);
        v128.store(at, i16x8.narrow_i32x4_s(first, second));
        at += 16;
      }
      run += runStride;
    }
  }
}

// @ts-ignore: decorator
@inline
function addProducts(sums: v128, samples: v128, weights: v128): v128 {
  return i32x4.add(sums, i32x4.dot_i16x8_s(samples, weights));
}

// @ts-ignore: decorator
@inline
function unscaled(sums: v128, scales: v128, bias: v128): v128 {
  return madd(f32x4.convert_i32x4_s(sums), scales, bias);
}

/**
 * As convolve, by whole numbers of 16 bits, of which the processor multiplies and adds two at a time; the sums are exact.
 * `w` holds the weights as such numbers, [panel][pair of numbers of the window][8][2], `scales` for each channel what one
 * of them stands for. `largest` is a bound on the samples' magnitude, 0 where none is known: then the samples at hand
 * give it; it becomes the number `whole`, with which no sum may leave 32 bits. `band` has room for INTEGER_BLOCK_BYTES, or four windows if they are larger. `runBytes` is a multiple of 32.
 */
export function convolveIntegers(
  rows: i32, columns: i32, a: usize, aRow: usize, aColumn: usize, runs: i32, runBytes: usize, runStride: usize,
  w: usize, scales: usize, bias: usize, panels: i32, out: usize, plus: usize, low: f32, high: f32, largest: f32, whole: f32, band: usize,
): void {
  const lows = f32x4.splat(low), highs = f32x4.splat(high);
  const none = i32x4.splat(0);
  const pitch = <usize>panels << 5;
  const windowBytes = (runBytes * <usize>runs) >> 1;
  const panelBytes = windowBytes << 3;
  let block = <i32>(INTEGER_BLOCK_BYTES / windowBytes) & ~3;
  if (block < 4) block = 4;
  const d1 = windowBytes, d2 = windowBytes * 2, d3 = windowBytes * 3;
  for (let row = 0; row < rows; row += 1) {
    const aLine = a + <usize>row * aRow;
    const outLine = <usize>row * <usize>columns * pitch;
    for (let from = 0; from < columns; from += block) {
      const count = min(block, columns - from);
      const samples = aLine + <usize>from * aColumn;
      let bound = largest;
      if (bound == 0) bound = largestSample(samples, count, aColumn, runs, runBytes, runStride);
      const scale = bound > 0 ? whole / bound : 1;
      toIntegers(samples, count, aColumn, runs, runBytes, runStride, scale, band);
      const unit = f32x4.splat(1 / scale);
      for (let panel = 0; panel < panels; panel += 1) {
        const wPanel = w + <usize>panel * panelBytes;
        const channel = <usize>panel << 5;
        const scales0 = f32x4.mul(v128.load(scales + channel), unit), scales1 = f32x4.mul(v128.load(scales + channel, 16), unit);
        const bias0 = v128.load(bias + channel), bias1 = v128.load(bias + channel, 16);
        let at = outLine + <usize>from * pitch + channel;
        let p = band;
        let column = 0;
        for (; column + 4 <= count; column += 4) {
          let c00 = none, c01 = none, c10 = none, c11 = none, c20 = none, c21 = none, c30 = none, c31 = none;
          let wp = wPanel;
          const end = p + windowBytes;
          while (p < end) {
            const w0 = v128.load(wp), w1 = v128.load(wp, 16);
            let s = v128.load_splat<i32>(p);
            c00 = addProducts(c00, s, w0); c01 = addProducts(c01, s, w1);
            s = v128.load_splat<i32>(p + d1);
            c10 = addProducts(c10, s, w0); c11 = addProducts(c11, s, w1);
            s = v128.load_splat<i32>(p + d2);
            c20 = addProducts(c20, s, w0); c21 = addProducts(c21, s, w1);
            s = v128.load_splat<i32>(p + d3);
            c30 = addProducts(c30, s, w0); c31 = addProducts(c31, s, w1);
            p += 4; wp += 32;
          }
          p += d3;
          c00 = unscaled(c00, scales0, bias0); c01 = unscaled(c01, scales1, bias1);
          c10 = unscaled(c10, scales0, bias0); c11 = unscaled(c11, scales1, bias1);
          c20 = unscaled(c20, scales0, bias0); c21 = unscaled(c21, scales1, bias1);
          c30 = unscaled(c30, scales0, bias0); c31 = unscaled(c31, scales1, bias1);
          storeTile(c00, c01, c10, c11, c20, c21, c30, c31, out, plus, at, pitch, lows, highs);
          at += pitch << 2;
        }
        for (; column < count; column += 1) {
          let c0 = none, c1 = none;
          let wp = wPanel;
          const end = p + windowBytes;
          while (p < end) {
            const s = v128.load_splat<i32>(p);
            c0 = addProducts(c0, s, v128.load(wp)); c1 = addProducts(c1, s, v128.load(wp, 16));
            p += 4; wp += 32;
          }
          c0 = unscaled(c0, scales0, bias0); c1 = unscaled(c1, scales1, bias1);
          storePixel(c0, c1, out, plus, at, lows, highs);
          at += pitch;
        }
      }
    }
  }
}

/** Eight pixels next to each other of four channels, 3 × 3 windows with stride 1; see depthwise. */
// @ts-ignore: decorator
@inline
function eightBy3(left: usize, bandLine: usize, first: i32, w: usize, b: v128, at: usize, pitch: usize, lows: v128, highs: v128): void {
  let s0 = b, s1 = b, s2 = b, s3 = b, s4 = b, s5 = b, s6 = b, s7 = b;
  let wp = w;
  let slot = first;
  for (let y = 0; y < 3; y += 1) {
    const p = left + <usize>slot * bandLine;
    const w0 = v128.load(wp, 0), w1 = v128.load(wp, 32), w2 = v128.load(wp, 64);
    let x = v128.load(p);
    s0 = madd(x, w0, s0);
    x = v128.load(p, 32);
    s0 = madd(x, w1, s0); s1 = madd(x, w0, s1);
    x = v128.load(p, 64);
    s0 = madd(x, w2, s0); s1 = madd(x, w1, s1); s2 = madd(x, w0, s2);
    x = v128.load(p, 96);
    s1 = madd(x, w2, s1); s2 = madd(x, w1, s2); s3 = madd(x, w0, s3);
    x = v128.load(p, 128);
    s2 = madd(x, w2, s2); s3 = madd(x, w1, s3); s4 = madd(x, w0, s4);
    x = v128.load(p, 160);
    s3 = madd(x, w2, s3); s4 = madd(x, w1, s4); s5 = madd(x, w0, s5);
    x = v128.load(p, 192);
    s4 = madd(x, w2, s4); s5 = madd(x, w1, s5); s6 = madd(x, w0, s6);
    x = v128.load(p, 224);
    s5 = madd(x, w2, s5); s6 = madd(x, w1, s6); s7 = madd(x, w0, s7);
    x = v128.load(p, 256);
    s6 = madd(x, w2, s6); s7 = madd(x, w1, s7);
    x = v128.load(p, 288);
    s7 = madd(x, w2, s7);
    wp += 96;
    slot += 1;
    if (slot == 3) slot = 0;
  }
  let o = at;
  v128.store(o, clamped(s0, lows, highs)); o += pitch;
  v128.store(o, clamped(s1, lows, highs)); o += pitch;
  v128.store(o, clamped(s2, lows, highs)); o += pitch;
  v128.store(o, clamped(s3, lows, highs)); o += pitch;
  v128.store(o, clamped(s4, lows, highs)); o += pitch;
  v128.store(o, clamped(s5, lows, highs)); o += pitch;
  v128.store(o, clamped(s6, lows, highs)); o += pitch;
  v128.store(o, clamped(s7, lows, highs));
}

/** Eight pixels next to each other of four channels, 5 × 5 windows with stride 1; see depthwise. */
// @ts-ignore: decorator
@inline
function eightBy5(left: usize, bandLine: usize, first: i32, w: usize, b: v128, at: usize, pitch: usize, lows: v128, highs: v128): void {
  let s0 = b, s1 = b, s2 = b, s3 = b, s4 = b, s5 = b, s6 = b, s7 = b;
  let wp = w;
  let slot = first;
  for (let y = 0; y < 5; y += 1) {
    const p = left + <usize>slot * bandLine;
    const w0 = v128.load(wp, 0), w1 = v128.load(wp, 32), w2 = v128.load(wp, 64), w3 = v128.load(wp, 96), w4 = v128.load(wp, 128);
    let x = v128.load(p);
    s0 = madd(x, w0, s0);
    x = v128.load(p, 32);
    s0 = madd(x, w1, s0); s1 = madd(x, w0, s1);
    x = v128.load(p, 64);
    s0 = madd(x, w2, s0); s1 = madd(x, w1, s1); s2 = madd(x, w0, s2);
    x = v128.load(p, 96);
    s0 = madd(x, w3, s0); s1 = madd(x, w2, s1); s2 = madd(x, w1, s2); s3 = madd(x, w0, s3);
    x = v128.load(p, 128);
    s0 = madd(x, w4, s0); s1 = madd(x, w3, s1); s2 = madd(x, w2, s2); s3 = madd(x, w1, s3); s4 = madd(x, w0, s4);
    x = v128.load(p, 160);
    s1 = madd(x, w4, s1); s2 = madd(x, w3, s2); s3 = madd(x, w2, s3); s4 = madd(x, w1, s4); s5 = madd(x, w0, s5);
    x = v128.load(p, 192);
    s2 = madd(x, w4, s2); s3 = madd(x, w3, s3); s4 = madd(x, w2, s4); s5 = madd(x, w1, s5); s6 = madd(x, w0, s6);
    x = v128.load(p, 224);
    s3 = madd(x, w4, s3); s4 = madd(x, w3, s4); s5 = madd(x, w2, s5); s6 = madd(x, w1, s6); s7 = madd(x, w0, s7);
    x = v128.load(p, 256);
    s4 = madd(x, w4, s4); s5 = madd(x, w3, s5); s6 = madd(x, w2, s6); s7 = madd(x, w1, s7);
    x = v128.load(p, 288);
    s5 = madd(x, w4, s5); s6 = madd(x, w3, s6); s7 = madd(x, w2, s7);
    x = v128.load(p, 320);
    s6 = madd(x, w4, s6); s7 = madd(x, w3, s7);
    x = v128.load(p, 352);
    s7 = madd(x, w4, s7);
    wp += 160;
    slot += 1;
    if (slot == 5) slot = 0;
  }
  let o = at;
  v128.store(o, clamped(s0, lows, highs)); o += pitch;
  v128.store(o, clamped(s1, lows, highs)); o += pitch;
  v128.store(o, clamped(s2, lows, highs)); o += pitch;
  v128.store(o, clamped(s3, lows, highs)); o += pitch;
  v128.store(o, clamped(s4, lows, highs)); o += pitch;
  v128.store(o, clamped(s5, lows, highs)); o += pitch;
  v128.store(o, clamped(s6, lows, highs)); o += pitch;
  v128.store(o, clamped(s7, lows, highs));
}

/**
 * `size` × `size` convolution of each channel by itself, zeros around: the window of result row r starts `before` rows above
 * row r · stride, and columns alike. Eight channels pass at a time; `w` holds theirs after another, [group][size²][8]. `band`
 * has room for `size` rows of eight channels, each long enough for the last window, and is where they are kept at hand.
 * Only the result's rows `fromRow` to `endRow` are made.
 */
export function depthwise(
  a: usize, rows: i32, columns: i32, pitch: usize, size: i32, stride: i32, before: i32, w: usize, bias: usize,
  out: usize, fromRow: i32, endRow: i32, outColumns: i32, band: usize, low: f32, high: f32,
): void {
  const lows = f32x4.splat(low), highs = f32x4.splat(high);
  const line = pitch * <usize>columns;
  const bandLine = <usize>max((outColumns - 1) * stride + size, before + columns) << 5;
  const d1 = <usize>stride << 5, d2 = d1 * 2, d3 = d1 * 3;
  memory.fill(band, 0, bandLine * <usize>size);
  for (let c: usize = 0; c < pitch; c += 32) {
    const wGroup = w + c * <usize>(size * size);
    const bias0 = v128.load(bias + c), bias1 = v128.load(bias + c, 16);
    let next = fromRow * stride - before;
    for (let row = fromRow; row < endRow; row += 1) {
      for (; next < row * stride - before + size; next += 1) {
        let to = band + <usize>((next + before) % size) * bandLine + (<usize>before << 5);
        if (next >= 0 && next < rows) {
          let from = a + <usize>next * line + c;
          for (let column = 0; column < columns; column += 1) {
            v128.store(to, v128.load(from));
            v128.store(to, v128.load(from, 16), 16);
            from += pitch;
            to += 32;
          }
        } else {
          memory.fill(to, 0, <usize>columns << 5);
        }
      }
      const first = (row * stride) % size;
      let at = out + <usize>(row * outColumns) * pitch + c;
      let column = 0;
      if (stride == 1 && size == 3) {
        for (; column + 8 <= outColumns; column += 8) {
          const left = band + <usize>column * d1;
          eightBy3(left, bandLine, first, wGroup, bias0, at, pitch, lows, highs);
          eightBy3(left + 16, bandLine, first, wGroup + 16, bias1, at + 16, pitch, lows, highs);
          at += pitch << 3;
        }
      } else if (stride == 1 && size == 5) {
        for (; column + 8 <= outColumns; column += 8) {
          const left = band + <usize>column * d1;
          eightBy5(left, bandLine, first, wGroup, bias0, at, pitch, lows, highs);
          eightBy5(left + 16, bandLine, first, wGroup + 16, bias1, at + 16, pitch, lows, highs);
          at += pitch << 3;
        }
      }
      for (; column + 4 <= outColumns; column += 4) {
        let c00 = bias0, c01 = bias1, c10 = bias0, c11 = bias1, c20 = bias0, c21 = bias1, c30 = bias0, c31 = bias1;
        let wp = wGroup;
        let slot = first;
        const left = band + <usize>column * d1;
        for (let y = 0; y < size; y += 1) {
          let p = left + <usize>slot * bandLine;
          const end = p + (<usize>size << 5);
          while (p < end) {
            const w0 = v128.load(wp), w1 = v128.load(wp, 16);
            c00 = madd(v128.load(p), w0, c00); c01 = madd(v128.load(p, 16), w1, c01);
            c10 = madd(v128.load(p + d1), w0, c10); c11 = madd(v128.load(p + d1, 16), w1, c11);
            c20 = madd(v128.load(p + d2), w0, c20); c21 = madd(v128.load(p + d2, 16), w1, c21);
            c30 = madd(v128.load(p + d3), w0, c30); c31 = madd(v128.load(p + d3, 16), w1, c31);
            p += 32; wp += 32;
          }
          slot += 1;
          if (slot == size) slot = 0;
        }
        v128.store(at, clamped(c00, lows, highs)); v128.store(at, clamped(c01, lows, highs), 16); at += pitch;
        v128.store(at, clamped(c10, lows, highs)); v128.store(at, clamped(c11, lows, highs), 16); at += pitch;
        v128.store(at, clamped(c20, lows, highs)); v128.store(at, clamped(c21, lows, highs), 16); at += pitch;
        v128.store(at, clamped(c30, lows, highs)); v128.store(at, clamped(c31, lows, highs), 16); at += pitch;
      }
      for (; column < outColumns; column += 1) {
        let c0 = bias0, c1 = bias1;
        let wp = wGroup;
        let slot = first;
        const left = band + <usize>column * d1;
        for (let y = 0; y < size; y += 1) {
          let p = left + <usize>slot * bandLine;
          const end = p + (<usize>size << 5);
          while (p < end) {
            c0 = madd(v128.load(p), v128.load(wp), c0); c1 = madd(v128.load(p, 16), v128.load(wp, 16), c1);
            p += 32; wp += 32;
          }
          slot += 1;
          if (slot == size) slot = 0;
        }
        v128.store(at, clamped(c0, lows, highs)); v128.store(at, clamped(c1, lows, highs), 16); at += pitch;
      }
    }
  }
}

/** Twice the size, each pixel the mean of its neighbours by their distance (centres of pixels at halves), plus a map of that size where `plus` is not 0. */
export function enlarge(a: usize, rows: i32, columns: i32, pitch: usize, out: usize, plus: usize, low: f32, high: f32): void {
  const lows = f32x4.splat(low), highs = f32x4.splat(high);
  const near = f32x4.splat(0.75), far = f32x4.splat(0.25);
  const line = pitch * <usize>columns;
  for (let row = 0; row < rows * 2; row += 1) {
    const y = row >> 1;
    const other = (row & 1) == 0 ? max(y - 1, 0) : min(y + 1, rows - 1);
    const r0 = a + <usize>y * line;
    const r1 = a + <usize>other * line;
    const at0 = <usize>row * line * 2;
    for (let c: usize = 0; c < pitch; c += 16) {
      let at = at0 + c;
      let here = f32x4.add(f32x4.mul(v128.load(r0 + c), near), f32x4.mul(v128.load(r1 + c), far));
      let before = here;
      for (let column = 0; column < columns; column += 1) {
        const p = <usize>min(column + 1, columns - 1) * pitch + c;
        const after = f32x4.add(f32x4.mul(v128.load(r0 + p), near), f32x4.mul(v128.load(r1 + p), far));
        const middle = f32x4.mul(here, near);
        let left = madd(before, far, middle);
        let right = madd(after, far, middle);
        if (plus != 0) {
          left = f32x4.add(left, v128.load(plus + at));
          right = f32x4.add(right, v128.load(plus + at + pitch));
        }
        v128.store(out + at, clamped(left, lows, highs));
        v128.store(out + at + pitch, clamped(right, lows, highs));
        at += pitch * 2;
        before = here;
        here = after;
      }
    }
  }
}

/** The largest of each 2 × 2 pixels, plus a map of that size where `plus` is not 0. */
export function largest(a: usize, rows: i32, columns: i32, pitch: usize, out: usize, plus: usize, low: f32, high: f32): void {
  const lows = f32x4.splat(low), highs = f32x4.splat(high);
  const line = pitch * <usize>columns;
  let at: usize = 0;
  for (let row = 0; row + 1 < rows; row += 2) {
    for (let column = 0; column + 1 < columns; column += 2) {
      const p = a + <usize>row * line + <usize>column * pitch;
      for (let c: usize = 0; c < pitch; c += 16) {
        let x = f32x4.max(f32x4.max(v128.load(p + c), v128.load(p + pitch + c)), f32x4.max(v128.load(p + line + c), v128.load(p + line + pitch + c)));
        if (plus != 0) x = f32x4.add(x, v128.load(plus + at));
        v128.store(out + at, clamped(x, lows, highs));
        at += 16;
      }
    }
  }
}

/** Sum of two maps of `bytes`. */
export function sum(a: usize, b: usize, bytes: usize, out: usize, low: f32, high: f32): void {
  const lows = f32x4.splat(low), highs = f32x4.splat(high);
  for (let at: usize = 0; at < bytes; at += 16) {
    v128.store(out + at, clamped(f32x4.add(v128.load(a + at), v128.load(b + at)), lows, highs));
  }
}

/** Means of 2 × 2 bytes each, rounded; `columns` and `rows` are those of the result, its rows lie `toStride` apart (a multiple of 16). Reads up to 16 bytes past a row. */
export function halve(from: usize, stride: usize, columns: i32, rows: i32, to: usize, toStride: usize): void {
  const two = i16x8.splat(2);
  for (let row = 0; row < rows; row += 1) {
    let top = from + <usize>(2 * row) * stride;
    let at = to + <usize>row * toStride;
    for (let column = 0; column < columns; column += 8) {
      const sums = i16x8.add(i16x8.extadd_pairwise_i8x16_u(v128.load(top)), i16x8.extadd_pairwise_i8x16_u(v128.load(top + stride)));
      const means = i16x8.shr_u(i16x8.add(sums, two), 2);
      v128.store(at, i8x16.narrow_i16x8_u(means, means));
      top += 16;
      at += 8;
    }
  }
}

/** Two planes whose bytes alternate, apart. Both results have rows `toStride` apart (a multiple of 16). Reads up to 32 bytes past a row. */
export function part(from: usize, stride: usize, columns: i32, rows: i32, first: usize, second: usize, toStride: usize): void {
  for (let row = 0; row < rows; row += 1) {
    let p = from + <usize>row * stride;
    let at = <usize>row * toStride;
    for (let column = 0; column < columns; column += 16) {
      const low = v128.load(p), high = v128.load(p, 16);
      v128.store(first + at, i8x16.shuffle(low, high, 0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30));
      v128.store(second + at, i8x16.shuffle(low, high, 1, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23, 25, 27, 29, 31));
      p += 32;
      at += 16;
    }
  }
}

/** The whole numbers below numbers that are not negative and not too large. */
// @ts-ignore: decorator
@inline
function whole(x: v128): v128 {
  if (ASC_FEATURE_RELAXED_SIMD) return i32x4.relaxed_trunc_f32x4_s(x);
  return i32x4.trunc_sat_f32x4_s(x);
}

/** Four bilinear samples of bytes: each lies at its place in the plane at `from`, the parts of a sample `right` and `below`. */
// @ts-ignore: decorator
@inline
function bilinear(from: usize, stride: i32, places: v128, right: v128, below: v128): v128 {
  const zero = f32x4.splat(0), bytes = i32x4.splat(255);
  const p0 = from + <usize>i32x4.extract_lane(places, 0), p1 = from + <usize>i32x4.extract_lane(places, 1);
  const p2 = from + <usize>i32x4.extract_lane(places, 2), p3 = from + <usize>i32x4.extract_lane(places, 3);
  let upper = v128.load_lane<u16>(p0, zero, 0), lower = v128.load_lane<u16>(p0 + stride, zero, 0);
  upper = v128.load_lane<u16>(p1, upper, 2); lower = v128.load_lane<u16>(p1 + stride, lower, 2);
  upper = v128.load_lane<u16>(p2, upper, 4); lower = v128.load_lane<u16>(p2 + stride, lower, 4);
  upper = v128.load_lane<u16>(p3, upper, 6); lower = v128.load_lane<u16>(p3 + stride, lower, 6);
  const p00 = f32x4.convert_i32x4_s(v128.and(upper, bytes)), p10 = f32x4.convert_i32x4_s(i32x4.shr_u(upper, 8));
  const p01 = f32x4.convert_i32x4_s(v128.and(lower, bytes)), p11 = f32x4.convert_i32x4_s(i32x4.shr_u(lower, 8));
  const top = f32x4.add(p00, f32x4.mul(f32x4.sub(p10, p00), right));
  const bottom = f32x4.add(p01, f32x4.mul(f32x4.sub(p11, p01), right));
  return f32x4.add(top, f32x4.mul(f32x4.sub(bottom, top), below));
}

/**
 * Bilinear samples of a plane of bytes: of `size` × `size` results the one at column x and row y (centres at halves) lies at
 * (a·x + b·y + c, d·x + e·y + f) in samples, centres at whole numbers; the border repeats outside. `size` is a multiple of 4.
 * A `second` plane of the same measures, 0 for none, is sampled at the same places; its results follow the first's.
 */
export function samplePlane(
  from: usize, second: usize, stride: i32, columns: i32, rows: i32, a: f64, b: f64, c: f64, d: f64, e: f64, f: f64, size: i32, out: usize,
): void {
  const zero = f32x4.splat(0);
  const lastX = f32x4.splat(<f32>(columns - 1)), lastY = f32x4.splat(<f32>(rows - 1));
  const lastI = i32x4.splat(columns - 2), lastJ = i32x4.splat(rows - 2);
  const strides = i32x4.splat(stride), four = f32x4.splat(4);
  const across = f32x4.splat(<f32>a), down = f32x4.splat(<f32>d);
  const resultBytes = <usize>(size * size) << 2;
  let at = out;
  for (let row = 0; row < size; row += 1) {
    const u0 = f32x4.splat(<f32>(b * (<f64>row + 0.5) + c)), v0 = f32x4.splat(<f32>(e * (<f64>row + 0.5) + f));
    let x = f32x4(0.5, 1.5, 2.5, 3.5);
    for (let column = 0; column < size; column += 4) {
      const u = f32x4.pmin(f32x4.pmax(zero, f32x4.add(u0, f32x4.mul(across, x))), lastX);
      const v = f32x4.pmin(f32x4.pmax(zero, f32x4.add(v0, f32x4.mul(down, x))), lastY);
      const i = i32x4.min_s(whole(u), lastI), j = i32x4.min_s(whole(v), lastJ);
      const right = f32x4.sub(u, f32x4.convert_i32x4_s(i)), below = f32x4.sub(v, f32x4.convert_i32x4_s(j));
      const places = i32x4.add(i32x4.mul(j, strides), i);
      v128.store(at, bilinear(from, stride, places, right, below));
      if (second != 0) v128.store(at + resultBytes, bilinear(second, stride, places, right, below));
      x = f32x4.add(x, four);
      at += 16;
    }
  }
}

// @ts-ignore: decorator
@inline
function mixed(y: v128, u: v128, v: v128, weights: usize): v128 {
  const sum = f32x4.add(f32x4.add(f32x4.mul(y, v128.load_splat<f32>(weights)), f32x4.mul(u, v128.load_splat<f32>(weights, 4))),
    f32x4.add(f32x4.mul(v, v128.load_splat<f32>(weights, 8)), v128.load_splat<f32>(weights, 12)));
  return f32x4.pmin(f32x4.pmax(sum, f32x4.splat(0)), f32x4.splat(1));
}

/**
 * Red, green and blue, 0 to 1, from three sampled planes, pixel after pixel. `weights` holds for each colour the weights of
 * the planes and a number to add. Black where (a·x + b·y + c, d·x + e·y + f) lies outside 0..width and 0..height.
 */
export function colour(
  planes: usize, weights: usize, a: f64, b: f64, c: f64, d: f64, e: f64, f: f64, width: f32, height: f32, size: i32, out: usize,
): void {
  const zero = f32x4.splat(0), four = f32x4.splat(4);
  const widths = f32x4.splat(width), heights = f32x4.splat(height);
  const across = f32x4.splat(<f32>a), down = f32x4.splat(<f32>d);
  const planeBytes = <usize>(size * size) << 2;
  let p = planes;
  let at = out;
  for (let row = 0; row < size; row += 1) {
    const u0 = f32x4.splat(<f32>(b * (<f64>row + 0.5) + c)), v0 = f32x4.splat(<f32>(e * (<f64>row + 0.5) + f));
    let x = f32x4(0.5, 1.5, 2.5, 3.5);
    for (let column = 0; column < size; column += 4) {
      const u = f32x4.add(u0, f32x4.mul(across, x)), v = f32x4.add(v0, f32x4.mul(down, x));
      const inside = v128.and(v128.and(f32x4.ge(u, zero), f32x4.le(u, widths)), v128.and(f32x4.ge(v, zero), f32x4.le(v, heights)));
      const s0 = v128.load(p), s1 = v128.load(p + planeBytes), s2 = v128.load(p + planeBytes * 2);
      const red = v128.and(mixed(s0, s1, s2, weights), inside);
      const green = v128.and(mixed(s0, s1, s2, weights + 16), inside);
      const blue = v128.and(mixed(s0, s1, s2, weights + 32), inside);
      // r0 g0 b0 r1 | g1 b1 r2 g2 | b2 r3 g3 b3
      const rg = i32x4.shuffle(red, green, 0, 4, 1, 5), rg2 = i32x4.shuffle(red, green, 2, 6, 3, 7);
      v128.store(at, i32x4.shuffle(rg, blue, 0, 1, 4, 2));
      v128.store(at, i32x4.shuffle(i32x4.shuffle(rg, blue, 3, 5, 3, 5), rg2, 0, 1, 4, 5), 16);
      v128.store(at, i32x4.shuffle(rg2, blue, 6, 2, 3, 7), 32);
      x = f32x4.add(x, four);
      p += 16;
      at += 48;
    }
  }
}
