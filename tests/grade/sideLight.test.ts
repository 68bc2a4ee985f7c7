import { expect, test } from 'vitest';
import { gradePhoto } from '@/lib/grade/gradePhoto';
import { measuredErrorRates } from '@/lib/grade/measuredErrorRates';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { madeReading } from './madeReading';

/** Free copper of middlings, or of a concentrate, as it is read in light from all round and in hard light from one side. */
function freeCopper(method: 'threshold' | 'model', pieces: { copper: number; insulation: number }) {
	const reading = {
		...madeReading({
			brightCopper: { count: pieces.copper, areaMm2: 3, widthMm: 0.5 },
			insulation: { count: pieces.insulation, areaMm2: 8, widthMm: 2 },
		}),
		method,
	};
	return [false, true].map((isSideLit) => {
		const of = gradePhoto({ ...reading, isSideLit }, DEFAULT_MATERIAL, measuredErrorRates).massFraction.freeCopper;
		return { value: of.value, width: of.high - of.low };
	}) as [{ value: number; width: number }, { value: number; width: number }];
}

test('little copper in hard light is more than is seen of it, and less sure; much copper stays, and is less sure', () => {
	const [even, hard] = freeCopper('model', { copper: 150, insulation: 600 });
	expect(hard.value / even.value).toBeGreaterThan(1.3);
	expect(hard.width).toBeGreaterThan(1.3 * even.width);
	const [evenConcentrate, hardConcentrate] = freeCopper('model', { copper: 1500, insulation: 40 });
	expect(hardConcentrate.value).toBeCloseTo(evenConcentrate.value, 2);
	expect(hardConcentrate.width).toBeGreaterThan(evenConcentrate.width);
});

test('what thresholds read has the scatter of all scenes already', () => {
	const [even, hard] = freeCopper('threshold', { copper: 150, insulation: 600 });
	expect(hard).toEqual(even);
});
