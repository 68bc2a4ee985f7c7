import type { PixelRow } from './networkRunner';
import type { ModelHead } from './pixelModel';

/**
 * Class scores of pixels that lie one after the other: features times weights, plus bias.
 *
 * @param features - `at` is the first pixel's place
 * @returns count x classes
 */
export function scoresOf(features: PixelRow, count: number, { weights, bias }: ModelHead): Float32Array {
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

/** Class shares of scores, pixels x classes: exponentials over their sum; in the scores' place. */
export function sharesOf(scores: Float32Array, classes: number): Float32Array {
	// Hot loop.
	for (let at = 0; at < scores.length; at += classes) {
		let most = scores[at]!;
		for (let c = 1; c < classes; c++) if (scores[at + c]! > most) most = scores[at + c]!;
		let sum = 0;
		for (let c = 0; c < classes; c++) {
			const part = Math.exp(scores[at + c]! - most);
			scores[at + c] = part;
			sum += part;
		}
		for (let c = 0; c < classes; c++) scores[at + c]! /= sum;
	}
	return scores;
}
