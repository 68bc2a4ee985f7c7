import type { PlaneView } from './network';
import type { ModelHead } from './pixelModel';

/**
 * Class scores of pixels that lie one after the other: features times weights, plus bias.
 *
 * @param features - `at` is the first pixel's place
 * @returns count x classes
 */
export function scoresOf(features: PlaneView, count: number, { weights, bias }: ModelHead): Float32Array {
  const classes = bias.length;
  const many = weights.length / classes;
  const { values, pixelStep } = features;
  const out = new Float32Array(count * classes);
  // Hot loop.
  for (let i = 0, at = features.at; i < out.length; i += classes, at += pixelStep) {
    for (let c = 0; c < classes; c++) {
      let sum = bias[c]!;
      for (let k = 0; k < many; k++) sum += values[at + k]! * weights[k * classes + c]!;
      out[i + c] = sum;
    }
  }
  return out;
}
