import * as tf from '@tensorflow/tfjs';
import '@tensorflow/tfjs-backend-webgpu';
import { setWasmPaths } from '@tensorflow/tfjs-backend-wasm';
import plainWasmUrl from '@tensorflow/tfjs-backend-wasm/dist/tfjs-backend-wasm.wasm?url';
import simdWasmUrl from '@tensorflow/tfjs-backend-wasm/dist/tfjs-backend-wasm-simd.wasm?url';
import threadedWasmUrl from '@tensorflow/tfjs-backend-wasm/dist/tfjs-backend-wasm-threaded-simd.wasm?url';
import type { Backend } from './contract.ts';
import { failure, success, type Outcome } from '../src/units/outcome.ts';

/** Renderer names that draw on the processor, not on a graphics card. */
const SOFTWARE_RENDERER = /swiftshader|llvmpipe|softpipe|software|basic render|paravirtual/i;

/** Starts a backend and checks that it really runs; the problem names what was tried. */
export async function startBackend(backend: Backend): Promise<Outcome<Backend>> {
  if (backend === 'wasm') {
    // The threaded build starts a blob worker that never answers under cross-origin isolation.
    tf.env().set('WASM_HAS_MULTITHREAD_SUPPORT', false);
    setWasmPaths({
      'tfjs-backend-wasm.wasm': plainWasmUrl,
      'tfjs-backend-wasm-simd.wasm': simdWasmUrl,
      'tfjs-backend-wasm-threaded-simd.wasm': threadedWasmUrl,
    });
  }
  let started = false;
  try {
    // setBackend answers false instead of throwing when, for one, the page's policy forbids WebAssembly.
    started = await tf.setBackend(backend);
    await tf.ready();
  } catch {
    started = false;
  }
  if (!started || tf.getBackend() !== backend) return failure({ kind: 'backend-unavailable', tried: [backend] });
  return success(backend);
}

/** The part of WebGPU that is asked here; not every browser has it. */
interface Gpu {
  requestAdapter(options: { readonly powerPreference: 'high-performance' }): Promise<{
    readonly info: { readonly vendor: string; readonly architecture: string; readonly device: string; readonly description: string; readonly isFallbackAdapter?: boolean };
  } | null>;
}

/** The ways to the graphics card that this browser has and that do not draw in software, the fastest first as a rule. */
export async function graphicsBackends(): Promise<readonly Backend[]> {
  return [...((await hasWebgpuCard()) ? ['webgpu' as const] : []), ...(hasWebglCard() ? ['webgl' as const] : [])];
}

async function hasWebgpuCard(): Promise<boolean> {
  const { gpu } = navigator as { readonly gpu?: Gpu };
  try {
    const adapter = await gpu?.requestAdapter({ powerPreference: 'high-performance' });
    if (adapter === null || adapter === undefined) return false;
    const { vendor, architecture, device, description, isFallbackAdapter } = adapter.info;
    return isFallbackAdapter !== true && !SOFTWARE_RENDERER.test([vendor, architecture, device, description].join(' '));
  } catch {
    return false;
  }
}

function hasWebglCard(): boolean {
  if (typeof OffscreenCanvas === 'undefined') return false;
  const context = new OffscreenCanvas(1, 1).getContext('webgl2', { failIfMajorPerformanceCaveat: true });
  if (context === null) return false;
  const named = context.getExtension('WEBGL_debug_renderer_info');
  const renderer: unknown = context.getParameter(named === null ? context.RENDERER : named.UNMASKED_RENDERER_WEBGL);
  context.getExtension('WEBGL_lose_context')?.loseContext();
  return typeof renderer === 'string' && renderer !== '' && !SOFTWARE_RENDERER.test(renderer);
}
