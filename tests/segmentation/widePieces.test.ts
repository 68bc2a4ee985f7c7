import { expect, test } from 'vitest';
import { BACKGROUND, CLASS_CODE, UNJUDGED } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import type { ClassMap } from '@/lib/segmentation/classMap';
import { firstLook } from '@/lib/segmentation/firstLook';
import { segment } from '@/lib/segmentation/segment';
import { mayHoldWidePieces, putWidePiecesBack } from '@/lib/segmentation/widePieces';
import { flatSurface } from '../particles/shapes';
import { madeUpModel } from './modelPicture';
import { COPPER, PAPER, PLAIN_LIGHT, photo } from './trays';

const SIDE = 160;
const PX_PER_MM = 8;
const TILE_PX = 16;
const ACROSS = SIDE / TILE_PX;

/** A disc on a bare surface, as called by colour. */
function disc(radiusMm: number, code: number): ClassMap {
	const labels = Uint8Array.from({ length: SIDE ** 2 }, (_, i) =>
		Math.hypot((i % SIDE) - 80, Math.floor(i / SIDE) - 80) < radiusMm * PX_PER_MM ? code : BACKGROUND,
	);
	return { width: SIDE, height: SIDE, columnOffset: 0, rowOffset: 0, labels };
}

/** All bare, by label and by area. */
function bare(): ClassMap {
	const px = new Float32Array(ACROSS ** 2 * 6);
	for (let tile = 0; tile < ACROSS ** 2; tile++) px[6 * tile] = TILE_PX ** 2;
	return { ...disc(0, 0), areas: { tilePx: TILE_PX, across: ACROSS, down: ACROSS, px } };
}

const pixels = ({ labels }: ClassMap, code: number) => labels.filter((label) => label === code).length;
const areaOf = ({ areas }: ClassMap, code: number) =>
	areas!.px.reduce((sum, px, k) => sum + (k % 6 === code ? px : 0), 0);

test('a copper piece as wide as the model can look is metal, though the model calls it surface', () => {
	const byColour = disc(7, CLASS_CODE.brightCopper);
	const found = putWidePiecesBack(bare(), byColour, PX_PER_MM, true);
	expect(found.labels).toEqual(byColour.labels);
	expect(areaOf(found, CLASS_CODE.brightCopper)).toBe(pixels(byColour, CLASS_CODE.brightCopper));
	expect(areaOf(found, BACKGROUND)).toBe(pixels(byColour, BACKGROUND));
});

test('where the light is not known such a piece stays unjudged', () => {
	const byColour = disc(7, CLASS_CODE.brightCopper);
	const found = putWidePiecesBack(bare(), byColour, PX_PER_MM, false);
	expect(pixels(found, UNJUDGED)).toBe(pixels(byColour, CLASS_CODE.brightCopper));
	expect(areaOf(found, CLASS_CODE.brightCopper)).toBe(0);
});

test('pieces of chopped size and other colours are the model’s own business', () => {
	const map = bare();
	expect(putWidePiecesBack(map, disc(2.5, CLASS_CODE.brightCopper), PX_PER_MM, true)).toBe(map);
	expect(putWidePiecesBack(map, disc(7, CLASS_CODE.insulation), PX_PER_MM, true)).toBe(map);
});

test('what the model calls a piece keeps the model’s class', () => {
	const map = { ...bare(), labels: disc(7, CLASS_CODE.insulation).labels };
	const found = putWidePiecesBack(map, disc(7, CLASS_CODE.brightCopper), PX_PER_MM, true);
	expect(found.labels).toEqual(map.labels);
});

test.each([
	['surface', BACKGROUND],
	['copper', CLASS_CODE.brightCopper],
])(
	'a wide piece that the model takes for %s and its rim for plastic is copper all over, the rim unjudged without known light',
	(_, inner) => {
		const byColour = disc(7, CLASS_CODE.brightCopper);
		const middle = disc(6, CLASS_CODE.brightCopper).labels;
		const labels = byColour.labels.map((label, i) =>
			label === BACKGROUND ? BACKGROUND : middle[i] === BACKGROUND ? CLASS_CODE.insulation : inner,
		);
		const rim = labels.filter((label) => label === CLASS_CODE.insulation).length;
		expect(rim).toBeGreaterThan(0);
		const map = { ...bare(), labels };
		expect(putWidePiecesBack(map, byColour, PX_PER_MM, true).labels).toEqual(byColour.labels);
		const unknown = putWidePiecesBack(map, byColour, PX_PER_MM, false);
		expect(pixels(unknown, CLASS_CODE.insulation)).toBe(0);
		expect(pixels(unknown, UNJUDGED)).toBeGreaterThanOrEqual(rim);
	},
);

/** A net of strands over the whole field. */
function net(strandPx: number): Uint8Array {
	return Uint8Array.from({ length: SIDE ** 2 }, (_, i) =>
		(i % SIDE) % 10 < strandPx || Math.floor(i / SIDE) % 10 < strandPx ? CLASS_CODE.brightCopper : BACKGROUND,
	);
}

test('strands that run into each other by colour, wide in places, are what the model sees, gaps and all', () => {
	const byColour = disc(4.5, CLASS_CODE.brightCopper);
	for (const [i, code] of net(5).entries()) if (code !== BACKGROUND) byColour.labels[i] = code;
	const map = { ...bare(), labels: net(4) };
	expect(putWidePiecesBack(map, byColour, PX_PER_MM, true)).toBe(map);
	// a heap that the model takes for the surface is metal all the same
	expect(putWidePiecesBack(bare(), byColour, PX_PER_MM, true).labels).toEqual(byColour.labels);
});

/** Copper discs of a radius on paper, 50 mm x 40 mm. */
function discs(radiusMm: number, pxPerMm: number) {
	const [across, down] = [50, 40];
	const raster = photo(across * pxPerMm, down * pxPerMm, (x, y) =>
		Math.hypot(((x / pxPerMm) % 25) - 12, ((y / pxPerMm) % 20) - 10) < radiusMm ? COPPER : PAPER,
	);
	return { raster, surface: flatSurface(raster.width, raster.height, pxPerMm) };
}

test.each([4, 8])('a first look at %d pixels a millimetre finds pieces that wide and no chopped ones', (pxPerMm) => {
	const look = (radiusMm: number) => {
		const { raster, surface } = discs(radiusMm, pxPerMm);
		return mayHoldWidePieces(firstLook(raster, surface, PLAIN_LIGHT, DEFAULT_MATERIAL));
	};
	for (const radiusMm of [4, 9]) expect(look(radiusMm)).toBe(true);
	for (const radiusMm of [0.3, 1.5]) expect(look(radiusMm)).toBe(false);
});

test('a photo read by a model that takes wide pieces for the surface has them as metal', async () => {
	const { raster, surface } = discs(7, 8);
	const blind = madeUpModel(8, (c) => (c === BACKGROUND ? 1 : 0));
	const { labels } = await segment(raster, surface, { ...PLAIN_LIGHT, source: 'patches' }, DEFAULT_MATERIAL, blind);
	const part = labels.filter((label) => label === CLASS_CODE.brightCopper).length / labels.length;
	expect(part).toBeCloseTo((4 * Math.PI * 7 ** 2) / (50 * 40), 1);
});
