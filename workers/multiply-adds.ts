type Shape = readonly number[];

/** Multiply–adds of one kernel out of its shapes: out height × width × channels × kernel height × width × channels in for a convolution; nothing for the cheap rest. */
export function multiplyAdds(name: string, inputs: readonly Shape[], outputs: readonly Shape[]): number {
  // A fused kernel is listed twice, once more as the operation around it.
  if (name.endsWith('__op')) return 0;
  const out = (outputs[0] ?? []).reduce((product, n) => product * n, 1);
  const filter = inputs[1] ?? [];
  if (/DepthwiseConv2d/i.test(name)) return out * (filter[0] ?? 0) * (filter[1] ?? 0);
  if (/Conv2D/i.test(name)) return out * (filter[0] ?? 0) * (filter[1] ?? 0) * (filter[2] ?? 0);
  if (/MatMul/i.test(name)) return out * ((inputs[0] ?? []).at(-1) ?? 0);
  return 0;
}
