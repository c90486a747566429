import * as tf from '@tensorflow/tfjs';
import { setWasmPaths } from '@tensorflow/tfjs-backend-wasm';
import plainWasmUrl from '@tensorflow/tfjs-backend-wasm/dist/tfjs-backend-wasm.wasm?url';
import simdWasmUrl from '@tensorflow/tfjs-backend-wasm/dist/tfjs-backend-wasm-simd.wasm?url';
import threadedWasmUrl from '@tensorflow/tfjs-backend-wasm/dist/tfjs-backend-wasm-threaded-simd.wasm?url';
import { failure, success, type Outcome } from '../src/units/outcome.ts';

/** Compute backends that may run the pose models. */
export type Backend = 'webgl' | 'wasm';

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

/** The graphics card's name as the browser tells it, null without a usable one or where it is drawn in software. */
export function graphicsCard(): string | null {
  if (typeof OffscreenCanvas === 'undefined') return null;
  const context = new OffscreenCanvas(1, 1).getContext('webgl2', { failIfMajorPerformanceCaveat: true });
  if (context === null) return null;
  const named = context.getExtension('WEBGL_debug_renderer_info');
  const renderer: unknown = context.getParameter(named === null ? context.RENDERER : named.UNMASKED_RENDERER_WEBGL);
  context.getExtension('WEBGL_lose_context')?.loseContext();
  if (typeof renderer !== 'string' || renderer === '' || SOFTWARE_RENDERER.test(renderer)) return null;
  return renderer;
}
