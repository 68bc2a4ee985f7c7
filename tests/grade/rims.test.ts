import { expect, test } from 'vitest';
import { holdStill } from '@/lib/grade/causes';
import { breadthU } from '@/lib/grade/rims';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { drawSpread } from '@/lib/grade/spreadDraws';
import { readSpread } from '@/lib/particles/readSpread';
import { meanOf, standardDeviationOf } from '@/lib/quantity/moments';
import { Drawing, flatSurface } from '../particles/shapes';
import { madeMaterial, madeRates, madeReading } from './madeReading';

const DRAWS = 4000;
const PIXEL_MM = 0.12;
const material = madeMaterial();
const shared = holdStill(drawSharedErrors(material, madeRates(), DRAWS, 1), ['sampling', 'overlap']);
const strands = { count: 900, areaMm2: 0.5, widthMm: 0.25 };
const granules = { count: 300, areaMm2: 3, widthMm: 1.5 };
const reading = { ...madeReading({ brightCopper: strands, insulation: granules }), pixelMm: PIXEL_MM };

test('both rims evenly within a pixel: the width of a rectangle over root 12, twice in squares', () => {
	// JCGM 100:2008, 4.3.7: limits a apart, variance a^2/12
	expect(breadthU(0.1, 1) ** 2).toBeCloseTo(2 * (0.1 ** 2 / 12), 12);
});

test('masses scatter by what their breadth in pixels allows, strands much and granules little, and keep their mean', () => {
	const fine = drawSpread({ ...reading, pixelMm: 0 }, material, shared, ['made']).massG;
	const { massG } = drawSpread(reading, material, shared, ['made']);
	for (const [name, { widthMm }] of [
		['brightCopper', strands],
		['insulation', granules],
	] as const) {
		const u = breadthU(PIXEL_MM, widthMm);
		expect(standardDeviationOf(fine[name]) / meanOf(fine[name])).toBeLessThan(1e-6);
		// a standard deviation of 4000 draws is known to 1.1 %, the mean to u / 63
		expect(Math.abs(standardDeviationOf(massG[name]) / meanOf(massG[name]) / u - 1)).toBeLessThan(0.06);
		expect(Math.abs(meanOf(massG[name]) / meanOf(fine[name]) - 1)).toBeLessThan((4 * u) / Math.sqrt(DRAWS));
	}
});

test('a cause of its own: held still it moves nothing', () => {
	const { massG } = drawSpread(reading, material, holdStill(shared, ['rims']), ['made']);
	expect(standardDeviationOf(massG.brightCopper) / meanOf(massG.brightCopper)).toBeLessThan(1e-6);
});

test('what lies flat has no breadth to misread', () => {
	const sheet = madeReading({ aluminium: { count: 200, areaMm2: 4, widthMm: 0 } });
	const flat = {
		...sheet,
		pixelMm: PIXEL_MM,
		blocks: sheet.blocks.map((block) => ({ ...block, sheetAreaMm2: block.areaMm2 })),
	};
	const { massG } = drawSpread(flat, material, shared, ['made']);
	expect(standardDeviationOf(massG.aluminium) / meanOf(massG.aluminium)).toBeLessThan(1e-6);
});

test("a photo's reading tells the side of its pixels", () => {
	const map = new Drawing(400, 240).disc(4, 60, 60, 12).map();
	expect(readSpread(map, flatSurface(400, 240, 4), 'model').pixelMm).toBeCloseTo(0.25, 9);
});
