import { describe, expect, it } from 'vitest';
import { multiplyAdds } from '../../workers/multiply-adds.ts';

describe('multiply–adds of a kernel', () => {
  it('a 3 × 3 convolution of 24 into 16 channels on 8 × 8 cells takes 8·8·16·3·3·24', () => {
    expect(multiplyAdds('FusedConv2D', [[1, 10, 10, 24], [3, 3, 24, 16]], [[1, 8, 8, 16]])).toBe(221_184);
  });

  it('a depthwise one of 3 × 3 takes 9 a cell and channel, a matrix product its inner length a cell, anything else nothing', () => {
    expect(multiplyAdds('FusedDepthwiseConv2D', [[1, 10, 10, 24], [3, 3, 24, 1]], [[1, 8, 8, 24]])).toBe(8 * 8 * 24 * 9);
    expect(multiplyAdds('BatchMatMul', [[1, 5, 7], [1, 7, 3]], [[1, 5, 3]])).toBe(5 * 3 * 7);
    expect(multiplyAdds('Relu6', [[1, 8, 8, 24]], [[1, 8, 8, 24]])).toBe(0);
  });

  it('a fused kernel counts once though the profile lists it twice', () => {
    expect(multiplyAdds('fusedConv2d__op', [[1, 10, 10, 24], [3, 3, 24, 16]], [[1, 8, 8, 16]])).toBe(0);
  });
});
