import { expect, test } from 'vitest';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { sharesOf } from '@/lib/segmentation/lastLayer';
import { MODEL_FOLDER, modelSource } from '@/lib/segmentation/modelFiles';
import { networkOf } from '@/lib/segmentation/network';
import type { PixelRow } from '@/lib/segmentation/networkRunner';
import type { LayerWeights } from '@/lib/segmentation/networkWeights';
import { loadPixelModel } from '@/lib/segmentation/pixelModel';
import { featuresOf, type ModelPicture, predict } from './modelPicture';

/** A picture of smooth patches and noise, so that every layer has something to do. */
function picture(width: number, height: number, seed: number): ModelPicture {
	const random = seededRandom(seed, 'network test');
	const linear = Float32Array.from({ length: width * height * 3 }, (_, i) => {
		const column = Math.floor(i / 3) % width;
		const row = Math.floor(i / 3 / width);
		return 0.4 + 0.3 * Math.sin(column / 7 + (i % 3)) * Math.cos(row / 5) + 0.4 * (random.uniform() - 0.5);
	});
	return { width, height, linear };
}

function apart(ours: Float32Array, theirs: Float32Array): { most: number; mean: number; size: number } {
	const off = ours.map((value, i) => Math.abs(value - theirs[i]!));
	const size = theirs.reduce((largest, value) => Math.max(largest, Math.abs(value)), 0);
	const most = off.reduce((worst, value) => Math.max(worst, value), 0);
	return { most, mean: off.reduce((sum, value) => sum + value, 0) / off.length, size };
}

test('the own kernels and TensorFlow.js give the same features and shares, whatever the size', async () => {
	const source = await modelSource(MODEL_FOLDER);
	const own = await loadPixelModel(source);
	const twin = await loadPixelModel(source, 'tensorflow');
	// 13, 26 and 52 at an eighth, a quarter and a half: none, one and two fours with a rest; then smaller, on used memory
	for (const [width, height, seed] of [
		[104, 72, 1],
		[72, 40, 2],
		[8, 8, 3],
	] as const) {
		const some = picture(width, height, seed);
		for (const read of [predict, featuresOf]) {
			const [ours, theirs] = [await read(own, some), await read(twin, some)];
			expect(ours.length).toBe(theirs.length);
			const { most, mean, size } = apart(ours, theirs);
			// numbers of 16 bits through some two dozen layers; the picture is half noise, which has no smooth parts that round well
			expect(mean / size).toBeLessThan(5e-4);
			// the largest of up to 180 000: some fifteen times their mean
			expect(most / size).toBeLessThan(7.5e-3);
			expect(size).toBeGreaterThan(0.5);
		}
	}
});

test('another last layer stands in for the own one', async () => {
	const model = await loadPixelModel(await modelSource(MODEL_FOLDER));
	const some = picture(16, 8, 4);
	const own = await predict(model, some);
	const same = await predict(model, some, model.head);
	for (const [i, share] of own.entries()) expect(same[i]).toBeCloseTo(share, 5);
	const bias = model.head.bias.map((value, c) => (c === 2 ? 1000 : value));
	const third = await predict(model, some, { ...model.head, bias });
	for (let i = 0; i < third.length; i += 6) expect(third[i + 2]).toBe(1);
});

/** Channels of each pixel, row by row. */
interface Grid {
	readonly width: number;
	readonly height: number;
	readonly channels: number;
	readonly at: Float64Array;
}

type Layers = Map<string, LayerWeights>;

/** One layer worked out sum by sum; zeros beyond the rim. */
function convolved({ width, height, channels, at }: Grid, layers: Layers, name: string, isRamp = true): Grid {
	const { shape, kernel, bias } = layers.get(name)!;
	const [side, , , results] = shape as [number, number, number, number];
	const step = side === 2 ? 2 : 1;
	const reach = side === 3 ? 1 : 0;
	const out = new Float64Array((width / step) * (height / step) * results);
	for (let o = 0; o < out.length; o++) {
		const n = o % results;
		const [column, row] = [Math.floor(o / results) % (width / step), Math.floor(o / results / (width / step))];
		let sum = bias[n]!;
		for (let y = 0; y < side; y++)
			for (let x = 0; x < side; x++) {
				const [fromX, fromY] = [step * column + x - reach, step * row + y - reach];
				if (fromX < 0 || fromY < 0 || fromX >= width || fromY >= height) continue;
				for (let k = 0; k < channels; k++)
					sum += at[(fromY * width + fromX) * channels + k]! * kernel[((y * side + x) * channels + k) * results + n]!;
			}
		out[o] = isRamp ? Math.max(0, sum) : sum;
	}
	return { width: width / step, height: height / step, channels: results, at: out };
}

const ramped = (grid: Grid): Grid => ({ ...grid, at: grid.at.map((value) => Math.max(0, value)) });
const summed = (a: Grid, b: Grid): Grid => ({ ...a, at: a.at.map((value, i) => value + b.at[i]!) });
/** Place of the pixel of the doubled picture in the picture. */
const halfOf = (pixel: number, width: number) =>
	(Math.floor(pixel / width) >> 1) * (width / 2) + ((pixel % width) >> 1);

function doubled({ width, height, channels, at }: Grid): Grid {
	const out = new Float64Array(4 * at.length);
	for (let i = 0; i < out.length; i++)
		out[i] = at[halfOf(Math.floor(i / channels), 2 * width) * channels + (i % channels)]!;
	return { width: 2 * width, height: 2 * height, channels, at: out };
}

function joined(a: Grid, b: Grid): Grid {
	const channels = a.channels + b.channels;
	const at = new Float64Array(a.width * a.height * channels);
	for (let i = 0; i < a.width * a.height; i++) {
		at.set(a.at.subarray(i * a.channels, (i + 1) * a.channels), i * channels);
		at.set(b.at.subarray(i * b.channels, (i + 1) * b.channels), i * channels + a.channels);
	}
	return { ...a, channels, at };
}

/** The network of models/network.py, layer by layer. */
function plainly(picture: Grid, layers: Layers): { features: Grid; scores: Grid } {
	const run = (grid: Grid, name: string, isRamp = true) => convolved(grid, layers, name, isRamp);
	const x0 = run(run(picture, 'e0a'), 'e0b');
	let t = run(x0, 'd1');
	const x1 = ramped(summed(t, run(run(t, 'e1a'), 'e1b', false)));
	const x2 = run(run(x1, 'd2'), 'e2a');
	t = run(x2, 'd3');
	let x3 = t;
	for (let round = 0; round < 3; round++) x3 = ramped(summed(x3, run(run(x3, 'e3a'), 'e3b', false)));
	const y2 = run(ramped(summed(doubled(run(x3, 'u2', false)), run(x2, 'j2', false))), 'f2');
	t = ramped(summed(doubled(run(y2, 'u1', false)), run(x1, 'j1', false)));
	const y1 = ramped(summed(t, run(run(t, 'f1a'), 'f1b', false)));
	const features = run(run(joined(doubled(run(y1, 'u0', false)), x0), 'f0a'), 'features');
	return { features, scores: run(features, 'classes', false) };
}

/** Layers of these widths with weights that keep numbers from growing. */
function madeUpLayers([a, b, c, d]: readonly [number, number, number, number], feats: number): Layers {
	const random = seededRandom(5, `layers ${a}`);
	const layer = (name: string, side: number, inputs: number, outputs: number): [string, LayerWeights] => {
		const kernel = new Float32Array(side * side * inputs * outputs);
		for (let i = 0; i < kernel.length; i++)
			kernel[i] = (3 * (random.uniform() - 0.5)) / Math.sqrt(side * side * inputs);
		return [
			name,
			{ shape: [side, side, inputs, outputs], kernel, bias: Float32Array.from({ length: outputs }, random.uniform) },
		];
	};
	return new Map([
		layer('e0a', 3, 3, a),
		layer('e0b', 3, a, a),
		layer('d1', 2, a, b),
		layer('e1a', 3, b, b),
		layer('e1b', 3, b, b),
		layer('d2', 2, b, c),
		layer('e2a', 3, c, c),
		layer('d3', 2, c, d),
		layer('e3a', 3, d, d),
		layer('e3b', 3, d, d),
		layer('u2', 1, d, c),
		layer('j2', 1, c, c),
		layer('f2', 3, c, c),
		layer('u1', 1, c, b),
		layer('j1', 1, b, b),
		layer('f1a', 3, b, b),
		layer('f1b', 3, b, b),
		layer('u0', 1, b, a),
		layer('f0a', 3, 2 * a, feats),
		layer('features', 3, feats, feats),
		layer('classes', 1, feats, 6),
	]);
}

test('networks of any widths in fours give what their sums give', async () => {
	for (const [widths, feats] of [
		[[8, 16, 20, 12], 24],
		[[16, 12, 8, 28], 20],
		[[20, 8, 24, 24], 48],
	] as const) {
		const layers = madeUpLayers(widths, feats);
		const network = networkOf(layers)!;
		const [width, height] = [24, 136];
		const at = Float64Array.from(picture(width, height, 6).linear);
		const plain = plainly({ width, height, channels: 3, at }, layers);
		const ours = { features: [] as number[], shares: [] as number[] };
		const pixels = ({ values, at: from, pixelStep }: PixelRow, channels: number) =>
			Array.from(
				{ length: width * channels },
				(_, i) => values[from + Math.floor(i / channels) * pixelStep + (i % channels)]!,
			);
		await network.read(
			width,
			height,
			(row, line) => {
				for (let i = 0; i < 3 * width; i++)
					line.values[line.at + Math.floor(i / 3) * line.pixelStep + (i % 3)] = at[3 * row * width + i]!;
			},
			(row, { features, shares }) => {
				expect(ours.shares.length).toBe(row * width * 6);
				ours.features.push(...pixels(features, feats));
				ours.shares.push(...pixels(shares, 6));
			},
		);
		const theirs = {
			features: Float32Array.from(plain.features.at),
			shares: sharesOf(Float32Array.from(plain.scores.at), 6),
		};
		for (const read of ['features', 'shares'] as const) {
			expect(ours[read].length).toBe(theirs[read].length);
			const { most, mean, size } = apart(Float32Array.from(ours[read]), theirs[read]);
			// numbers of 16 bits, as above
			expect(mean / size).toBeLessThan(5e-4);
			// the largest of up to 180 000: some fifteen times their mean
			expect(most / size).toBeLessThan(7.5e-3);
			expect(size).toBeGreaterThan(0.1);
		}
	}
});
