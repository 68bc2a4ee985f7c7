import { expect, test } from 'vitest';
import { BACKGROUND, CLASS_CODE, UNJUDGED } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { leaveLoneCopperOut } from '@/lib/segmentation/loneCopper';
import { segment } from '@/lib/segmentation/segment';
import { flatSurface } from '../particles/shapes';
import { madeUpModel } from './modelPicture';
import { COPPER, PAPER, PLAIN_LIGHT, photo } from './trays';

const { brightCopper, insulation } = CLASS_CODE;

test('what the model alone calls copper is left unjudged, and its area with it', () => {
	const box = { width: 4, height: 2, columnOffset: 0, rowOffset: 0 };
	const labels = Uint8Array.from([brightCopper, brightCopper, insulation, 0, brightCopper, brightCopper, 0, 0]);
	const byColour = { ...box, labels: Uint8Array.from([brightCopper, insulation, insulation, 0, 0, 0, 0, 0]) };
	const areas = { tilePx: 2, across: 2, down: 1, px: Float32Array.from([0, 3.6, 0, 0, 0.4, 0, 3, 0, 0, 0, 1, 0]) };
	const found = leaveLoneCopperOut({ ...box, labels, areas }, byColour);
	expect([...found.labels]).toEqual([brightCopper, UNJUDGED, insulation, 0, UNJUDGED, UNJUDGED, 0, 0]);
	expect(found.areas!.px[brightCopper]).toBeCloseTo(3.6 / 4, 6);
	expect(found.areas!.px[6 + insulation]).toBe(1);
});

/** Strips of coloured card from edge to edge, hardly any paper between: no spread. */
function strips() {
	const cards = [
		[0.45, 0.03, 0.03],
		[0.03, 0.25, 0.05],
		[0.02, 0.05, 0.35],
	] as const;
	const raster = photo(480, 320, (x) => (x % 40 < 34 ? cards[Math.floor(x / 40) % 3]! : PAPER));
	return { raster, surface: flatSurface(480, 320, 8) };
}

/** A model that takes the left fifth for copper and the rest for bare surface, whatever it sees. */
const astray = () => madeUpModel(8, (c, _, column) => Number(c === (column < 96 ? brightCopper : BACKGROUND)));

test('a picture that the model takes for mostly bare and colour does not gets no copper from the model alone', async () => {
	const { raster, surface } = strips();
	const { labels } = await segment(raster, surface, { ...PLAIN_LIGHT, source: 'surface' }, DEFAULT_MATERIAL, astray());
	expect(labels.includes(brightCopper)).toBe(false);
	expect(labels.filter((label) => label === UNJUDGED).length / labels.length).toBeGreaterThan(0.1);
});

test('where both see a bare tray the model’s copper stands', async () => {
	const raster = photo(480, 320, (x) => (x < 60 ? COPPER : PAPER));
	const light = { ...PLAIN_LIGHT, source: 'surface' as const };
	const { labels } = await segment(raster, flatSurface(480, 320, 8), light, DEFAULT_MATERIAL, astray());
	expect(labels.filter((label) => label === brightCopper).length / labels.length).toBeCloseTo(0.2, 1);
});
