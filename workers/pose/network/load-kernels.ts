import { fetchOk } from '../../fetch-ok.ts';

/** The kernels of kernels.as.ts with a memory of their own; addresses and sizes are bytes. */
export interface Kernels {
  readonly memory: WebAssembly.Memory;
  /** Whether convolveIntegers is the faster of the two here. */
  readonly integers: boolean;
  bitsOfDifference(a: number, b: number): number;
  convolve(
    rows: number, columns: number, from: number, rowBytes: number, columnBytes: number, runs: number, runBytes: number, runStride: number,
    weights: number, bias: number, panels: number, out: number, plus: number, low: number, high: number,
  ): void;
  convolveIntegers(
    rows: number, columns: number, from: number, rowBytes: number, columnBytes: number, runs: number, runBytes: number, runStride: number,
    weights: number, scales: number, bias: number, panels: number, out: number, plus: number, low: number, high: number, largest: number, whole: number, band: number,
  ): void;
  depthwise(
    from: number, rows: number, columns: number, pitch: number, size: number, stride: number, before: number, weights: number, bias: number,
    out: number, fromRow: number, endRow: number, outColumns: number, band: number, low: number, high: number,
  ): void;
  enlarge(from: number, rows: number, columns: number, pitch: number, out: number, plus: number, low: number, high: number): void;
  largest(from: number, rows: number, columns: number, pitch: number, out: number, plus: number, low: number, high: number): void;
  halve(from: number, stride: number, columns: number, rows: number, to: number, toStride: number): void;
  part(from: number, stride: number, columns: number, rows: number, first: number, second: number, toStride: number): void;
  samplePlane(
    from: number, second: number, stride: number, columns: number, rows: number, a: number, b: number, c: number, d: number, e: number, f: number, size: number, out: number,
  ): void;
  colour(
    planes: number, weights: number, a: number, b: number, c: number, d: number, e: number, f: number, width: number, height: number, size: number, out: number,
  ): void;
  sum(a: number, b: number, bytes: number, out: number, low: number, high: number): void;
}

/** The two builds of the kernels: addresses of our own origin, or the files themselves. */
export interface KernelSource {
  readonly fused: string | ArrayBuffer;
  readonly plain: string | ArrayBuffer;
}

/** The kernels compiled; each network and sampler starts its own, with a memory of its own. */
export interface KernelBuild {
  /** Whether multiply and add are one step here. */
  readonly fused: boolean;
  /** Kernels with a memory of 64 KiB, which grows as it must. */
  start(): Kernels;
}

/**
 * The kernels in the fastest build that this browser takes: with fused multiply–adds (relaxed SIMD) or with SIMD alone;
 * null where it takes neither. Rejects when a file cannot be read.
 */
export async function loadKernels(source: KernelSource): Promise<KernelBuild | null> {
  for (const build of ['fused', 'plain'] as const) {
    const file = source[build];
    const bytes = typeof file === 'string' ? await (await fetchOk(file)).arrayBuffer() : file;
    if (!WebAssembly.validate(bytes)) continue;
    const module = await WebAssembly.compile(bytes);
    return {
      fused: build === 'fused',
      start() {
        const memory = new WebAssembly.Memory({ initial: 1 });
        const { exports } = new WebAssembly.Instance(module, { env: { memory } });
        const kernels = exports as unknown as Omit<Kernels, 'memory' | 'integers'>;
        return { ...kernels, memory, integers: multipliesIntegersInPairs(kernels) };
      },
    };
  }
  return null;
}

/**
 * Whether the processor multiplies and adds two 16-bit numbers in one step, as those of the x86 family do and ARM's do not.
 * They differ in the sign of what is not a number: ∞ − ∞ is negative on x86 (Intel 64 and IA-32 Architectures Software
 * Developer's Manual, volume 1, table 4-3, "QNaN floating-point indefinite"), positive on ARM (Arm Architecture Reference
 * Manual, "default NaN"); both from memory. WebAssembly leaves the sign open, so it shows the processor.
 */
function multipliesIntegersInPairs(kernels: Pick<Kernels, 'bitsOfDifference'>): boolean {
  return kernels.bitsOfDifference(Infinity, Infinity) < 0;
}

const PAGE_BYTES = 65_536;

/** Makes a memory at least so large; whatever looked at it before must look anew. */
export function growTo(memory: WebAssembly.Memory, bytes: number): void {
  const missing = Math.ceil((bytes - memory.buffer.byteLength) / PAGE_BYTES);
  if (missing > 0) memory.grow(missing);
}
