import { createHash } from 'node:crypto';
import { cp, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { brotliCompressSync, brotliDecompressSync } from 'node:zlib';
import sharp from 'sharp';
import { expect, test } from 'vitest';
import { z } from 'zod';
import { decodeSrgb } from '@/lib/photo/srgbCurve';
import { MODEL_FOLDER, openPixelModel } from '@/lib/segmentation/modelFiles';
import { eachTile } from '@/lib/segmentation/modelTiles';
import type { PixelModel } from '@/lib/segmentation/pixelModel';
import { featuresOf, predict } from './modelPicture';

const REFERENCE = path.join('models', 'reference');

async function bytesOf(name: string): Promise<ArrayBuffer> {
	return new Uint8Array(await readFile(path.join(REFERENCE, name))).buffer;
}

let opened: ReturnType<typeof openPixelModel> | undefined;

async function shipped(): Promise<PixelModel> {
	opened ??= openPixelModel();
	const { model, reason } = await opened;
	if (model === undefined) throw new Error(reason);
	return model;
}

async function picture() {
	const { gains } = ABOUT.parse(JSON.parse(await readFile(path.join(REFERENCE, 'reference.json'), 'utf8')));
	const { data, info } = await sharp(path.join(REFERENCE, 'picture.webp')).raw().toBuffer({ resolveWithObject: true });
	return {
		width: info.width,
		height: info.height,
		linear: Float32Array.from(data, (code, i) => decodeSrgb(code / 255) * gains[i % 3]!),
	};
}
const ABOUT = z.object({
	gains: z.tuple([z.number(), z.number(), z.number()]),
});

test('the program reads the fixed picture as the trainer did', async () => {
	const model = await shipped();
	const seen = await picture();
	const all = await predict(model, seen);
	const inRow = seen.width * 6;
	// every eighth row is kept
	const ours = all.filter((_, i) => Math.floor(i / inRow) % 8 === 0);
	const theirs = Float32Array.from(new Uint16Array(await bytesOf('probabilities.u16')), (part) => part / 65535);
	expect(ours.length).toBe(theirs.length);
	// Weights of ten bits (2 ** -10 relative) through some twenty layers: a few thousandths of probability.
	const apart = ours.map((value, i) => Math.abs(value - theirs[i]!));
	expect(Math.max(...apart)).toBeLessThan(0.02);
	expect(apart.reduce((sum, value) => sum + value, 0) / apart.length).toBeLessThan(0.0005);
});

test('every pixel’s class probabilities are shares that sum to one', async () => {
	const out = await predict(await shipped(), await picture());
	for (let i = 0; i < out.length; i += 6) {
		const six = out.subarray(i, i + 6);
		expect(six.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 4);
		expect(Math.min(...six)).toBeGreaterThanOrEqual(0);
	}
});

test('the last layer on the features gives the same classes, so that it can be fitted anew', async () => {
	const model = await shipped();
	const { weights, bias } = model.head;
	const [features, classes] = [await featuresOf(model, await picture()), await predict(model, await picture())];
	const many = weights.length / 6;
	for (let i = 0; i < 96 * 64; i += 97) {
		const scores = Array.from(bias, (b, c) =>
			features.subarray(i * many, (i + 1) * many).reduce((sum, f, k) => sum + f * weights[k * 6 + c]!, b),
		);
		const total = scores.reduce((sum, score) => sum + Math.exp(score), 0);
		for (const [c, score] of scores.entries()) expect(Math.exp(score) / total).toBeCloseTo(classes[i * 6 + c]!, 3);
	}
});

test('a picture read in tiles shows no seams', async () => {
	const model = await shipped();
	const small = await picture();
	// The fixed picture beside itself fifty times: wider than is read in one, so it is cut in two at column 2400.
	const width = 96 * 50;
	expect([...eachTile(width, 64, true)].map((tile) => tile.toColumn)).toEqual([2400, width]);
	const linear = new Float32Array(width * 64 * 3);
	for (let row = 0; row < 64; row++)
		for (let copy = 0; copy < 50; copy++)
			linear.set(small.linear.subarray(row * 288, (row + 1) * 288), (row * width + copy * 96) * 3);
	const out = await predict(model, { width, height: 64, linear });
	// Copies far from the edges see the same surroundings: one well inside the first tile, those on either side of the cut.
	const apart: number[] = [];
	for (const copy of [24, 25])
		for (let row = 0; row < 64; row++)
			for (let at = 0; at < 96 * 6; at++)
				apart.push(Math.abs(out[(row * width + copy * 96) * 6 + at]! - out[(row * width + 10 * 96) * 6 + at]!));
	// the squares that share a rounding to 16 bits lie otherwise in the second tile: 0.002 at most; a margin of 48 pixels makes 0.05
	expect(Math.max(...apart)).toBeLessThan(0.005);
});

test('tiles answer every pixel once and see the network’s reach around it', () => {
	for (const [width, height] of [
		[1, 1],
		[513, 700],
		[1300, 97],
	] as const) {
		const seen = new Uint8Array(width * height);
		for (const tile of eachTile(width, height)) {
			for (const side of [tile.left, tile.top, tile.width, tile.height]) expect(side % 8).toBe(0);
			// reach of the network's layers: 76 pixels (models/CARD.md)
			expect(Math.min(tile.fromColumn, 76)).toBeLessThanOrEqual(tile.fromColumn - tile.left);
			expect(tile.left + tile.width).toBeGreaterThanOrEqual(Math.min(width, tile.toColumn + 76));
			for (let y = tile.fromRow; y < tile.toRow; y++)
				for (let x = tile.fromColumn; x < tile.toColumn; x++) seen[y * width + x]!++;
		}
		expect(new Set(seen)).toEqual(new Set([1]));
	}
});

test('without its files there is no model and a plain reason', async () => {
	const folder = await mkdtemp(path.join(tmpdir(), 'model-'));
	expect((await openPixelModel(folder)).reason).toMatch(/missing.*thresholds judge/);
	await rm(folder, { recursive: true });
});

test('a model whose weights were changed is refused', async () => {
	const folder = await mkdtemp(path.join(tmpdir(), 'model-'));
	await cp(MODEL_FOLDER, folder, { recursive: true });
	const file = path.join(folder, 'weights.planes.br');
	const packed = await readFile(file);
	const other = brotliDecompressSync(packed);
	other[1000]! ^= 1;
	for (const changed of [brotliCompressSync(other), packed.subarray(0, 5000)]) {
		await writeFile(file, changed);
		const { model, reason } = await openPixelModel(folder);
		expect(model).toBeUndefined();
		expect(reason).toMatch(/weights\.bin is not the file/);
	}
	await rm(folder, { recursive: true });
});

test('a model that goes through its deepest layers another number of times is refused, not read wrongly', async () => {
	const folder = await mkdtemp(path.join(tmpdir(), 'model-'));
	await cp(MODEL_FOLDER, folder, { recursive: true });
	const json = await readFile(path.join(folder, 'model.json'), 'utf8');
	const other = json.replace('"deepRounds":3', '"deepRounds":2');
	expect(other).not.toBe(json);
	await writeFile(path.join(folder, 'model.json'), other);
	const sum = (text: string) => createHash('sha256').update(text).digest('hex');
	const checksum = await readFile(path.join(folder, 'checksum'), 'utf8');
	await writeFile(path.join(folder, 'checksum'), checksum.replace(sum(json), sum(other)));
	const { model, reason } = await openPixelModel(folder);
	expect(model).toBeUndefined();
	expect(reason).toMatch(/not built as this version reads it/);
	await rm(folder, { recursive: true });
});
