import fc from 'fast-check';
import { expect, test } from 'vitest';
import { MATERIAL_CLASSES, type MaterialClass } from '@/lib/material/classes';
import { measurePieces } from '@/lib/particles/measure';
import { readSpread } from '@/lib/particles/readSpread';
import type { SpreadReading } from '@/lib/particles/spreadReading';
import { Drawing, flatSurface } from './shapes';

const sum = (reading: SpreadReading, of: (block: SpreadReading['blocks'][number]) => number) =>
	reading.blocks.reduce((total, block) => total + of(block), 0);

test('the mat is read in ten by six squares of 17 mm', () => {
	const reading = readSpread(new Drawing(170, 100).map(), flatSurface(170, 100, 1), 'threshold');
	expect(reading.blocks).toHaveLength(60);
	expect(sum(reading, (block) => block.fieldMm2)).toBeCloseTo(17000, 6);
	expect(reading.coverageFraction).toBe(0);
});

test('areas of blocks, classes, bare and unjudged surface add up to the field', () => {
	fc.assert(
		fc.property(fc.infiniteStream(fc.constantFrom(0, 0, 0, 1, 2, 3, 4, 5, 255)), (s) => {
			const labels = Uint8Array.from({ length: 60 * 40 }, () => s.next().value);
			const reading = readSpread(
				{ width: 60, height: 40, columnOffset: 0, rowOffset: 0, labels },
				flatSurface(60, 40, 1),
				'model',
			);
			for (const [k, name] of MATERIAL_CLASSES.entries()) {
				expect(sum(reading, (block) => block.areaMm2[name])).toBeCloseTo(labels.filter((l) => l === k + 1).length, 6);
			}
			expect(sum(reading, (block) => block.unjudgedMm2)).toBeCloseTo(labels.filter((l) => l === 255).length, 6);
			const pieces = labels.filter((l) => l > 0 && l < 255).length;
			expect(reading.coverageFraction).toBeCloseTo(pieces / (2400 - labels.filter((l) => l === 255).length), 9);
		}),
		{ numRuns: 25 },
	);
});

test('a wire twice as thick holds four times the volume at the same length', () => {
	const volume = (breadth: number) => {
		const map = new Drawing(200, 60).bar(1, 100.3, 30.2, 160, breadth, 0).map();
		return sum(readSpread(map, flatSurface(200, 60, 8), 'threshold'), (block) => block.widthAreaMm3.brightCopper);
	};
	expect(volume(16) / volume(8)).toBeGreaterThan(3.8);
	expect(volume(16) / volume(8)).toBeLessThan(4.2);
});

test('a broad flake of aluminium counts by its area, a cut wire by its width', () => {
	const map = new Drawing(200, 100).disc(3, 40, 50, 40).bar(3, 140, 50, 90, 10, 12).map();
	const reading = readSpread(map, flatSurface(200, 100, 8), 'threshold');
	const flake = (Math.PI * 20 ** 2) / 64;
	const wire = 900 / 64;
	expect(Math.abs(sum(reading, (block) => block.sheetAreaMm2.aluminium) / flake - 1)).toBeLessThan(0.05);
	expect(Math.abs(sum(reading, (block) => block.widthAreaMm3.aluminium) / (wire * (10 / 8)) - 1)).toBeLessThan(0.1);
});

test('pieces are counted and weighed per class', () => {
	const map = new Drawing(120, 60).disc(4, 20, 30, 16).disc(4, 60, 30, 16).disc(4, 100, 30, 24).map();
	const surface = flatSurface(120, 60, 8);
	const { pieces } = readSpread(map, surface, 'threshold');
	const volumes = measurePieces(map, surface).pieces.map((piece) => piece.widthAreaMm3);
	expect(pieces.insulation.count).toBe(3);
	expect(pieces.insulation.meanWidthAreaMm3).toBeCloseTo(volumes.reduce((a, b) => a + b) / 3, 9);
	expect(pieces.insulation.medianWidthMm).toBeGreaterThan(1.8);
	for (const name of ['brightCopper', 'aluminium'] satisfies MaterialClass[]) expect(pieces[name].count).toBe(0);
});

test('labels that are broader than the area of the map make copper as much narrower, by a pixel at most, and nothing else', () => {
	const { width, height, labels } = new Drawing(200, 100).bar(1, 100, 30, 160, 6, 0).disc(4, 100, 70, 30).map();
	const map = { width, height, columnOffset: 0, rowOffset: 0, labels };
	const surface = flatSurface(200, 100, 8);
	const pixels = (code: number) => labels.filter((label) => label === code).length;
	const areas = (share: number) => ({
		tilePx: 200,
		across: 1,
		down: 1,
		px: Float32Array.of(0, share * pixels(1), 0, 0, share * pixels(4), 0),
	});
	const volumes = (share: number) => {
		const reading = readSpread({ ...map, areas: areas(share) }, surface, 'model');
		return (['brightCopper', 'insulation'] as const).map((name) => sum(reading, (block) => block.widthAreaMm3[name]));
	};
	const [copper, insulation] = volumes(1);
	const [lessCopper, lessInsulation] = volumes(0.9);
	expect(lessCopper! / copper!).toBeCloseTo(0.9 ** 2, 5);
	expect(lessInsulation! / insulation!).toBeCloseTo(0.9, 5);
	// half of it gone is no rim: the breadth loses one pixel of 1/8 mm
	const breadthMm = copper! / (pixels(1) / 64);
	expect(volumes(0.5)[0]! / copper!).toBeCloseTo(0.5 * (1 - 0.125 / breadthMm), 5);
	const [moreCopper] = volumes(1.2);
	expect(moreCopper! / copper!).toBeCloseTo(1.2, 5);
});

test('pixels without a label that count in the areas of the map are not unjudged as well', () => {
	const { width, height, labels } = new Drawing(200, 100).bar(1, 100, 30, 160, 6, 0).bar(255, 100, 70, 160, 8, 0).map();
	const map = { width, height, columnOffset: 0, rowOffset: 0, labels };
	const surface = flatSurface(200, 100, 8);
	const [copper, unlabelled] = [1, 255].map((code) => labels.filter((label) => label === code).length);
	const unjudged = (counted: number) => {
		const bare = width * height - copper! - unlabelled!;
		const px = Float32Array.of(bare, copper! + counted * unlabelled!, 0, 0, 0, 0);
		const reading = readSpread({ ...map, areas: { tilePx: 200, across: 1, down: 1, px } }, surface, 'model');
		return sum(reading, (block) => block.unjudgedMm2) / (unlabelled! / 64);
	};
	expect(unjudged(0)).toBeCloseTo(1, 6);
	expect(unjudged(0.75)).toBeCloseTo(0.25, 6);
	expect(unjudged(1)).toBeCloseTo(0, 6);
});

test('what unjudged pixels may be goes to their blocks, class by class', () => {
	const { width, height, labels } = new Drawing(400, 100).bar(255, 300, 50, 160, 8, 0).map();
	const map = { width, height, columnOffset: 0, rowOffset: 0, labels };
	const unlabelled = labels.filter((label) => label === 255).length;
	const tile = (of: (code: number) => number) => Array.from({ length: 6 }, (_, code) => of(code));
	const nothing = tile(() => 0);
	const areas = {
		tilePx: 200,
		across: 2,
		down: 1,
		px: Float32Array.from([...nothing, ...nothing]),
		unsurePx: Float32Array.from([...nothing, ...tile((code) => (code === 4 ? 0.6 : 0.08) * unlabelled)]),
	};
	const { blocks } = readSpread({ ...map, areas }, flatSurface(400, 100, 8), 'model');
	const of = (name: MaterialClass) => blocks.map(({ unsureMm2 }) => unsureMm2![name]);
	// the middle of the right half is in the last of three blocks
	expect(of('insulation').map((area) => area / (unlabelled / 64))).toEqual([0, 0, expect.closeTo(0.6, 5)]);
	expect(of('brightCopper')[2]! / (unlabelled / 64)).toBeCloseTo(0.08, 5);
});
