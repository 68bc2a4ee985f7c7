import { expect, test } from 'vitest';
import { pieceMassMg } from '@/lib/grade/pieceMass';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';

const { brightCopper, aluminium } = DEFAULT_MATERIAL.classes;
const wire = { areaMm2: 5, widthAreaMm3: 5, sheetShare: 0, meanWidthMm: 1 };
/** Solid wire, so that the handbook's volume of a cylinder holds. */
const solid = { ...brightCopper, shape: { ...brightCopper.shape, factor: { value: Math.PI / 4, u: 0.01 } } };

test('a lying wire 1 mm thick and 5 mm long weighs what its cylinder weighs', () => {
	// pi/4 x 1 mm2 x 5 mm x 8930 kg/m3 = 35.07 mg
	expect(pieceMassMg(wire, solid, 0.1).value).toBeCloseTo(((Math.PI / 4) * 5 * 8930) / 1000, 10);
});

test('the fewer pixels lie across a wire, the wider its range', () => {
	const width = (pixelMm: number) => {
		const { low, high } = pieceMassMg(wire, solid, pixelMm);
		return high / low;
	};
	expect(width(0.5)).toBeGreaterThan(width(0.1));
	expect(width(0.1)).toBeGreaterThan(1);
});

test('a flake of sheet weighs area times thickness', () => {
	const flake = { areaMm2: 9, widthAreaMm3: 27, sheetShare: 1, meanWidthMm: 3 };
	// 9 mm2 x 0.15 mm x 2700 kg/m3 = 3.645 mg
	expect(pieceMassMg(flake, aluminium, 0.1).value).toBeCloseTo(3.645, 10);
});
