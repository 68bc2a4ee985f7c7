import fc from 'fast-check';
import { expect, test } from 'vitest';
import { fromKg, KG_PER_UNIT, MASS_UNITS, massUnitOf, readMass, toKg } from '@/lib/quantity/units';
import references from '@/tests/reference/units.json';

test('pound, ounce, short ton and tonne in kilograms are the exact ones', () => {
	const { expected, tolerance } = references.mass;
	expect(Math.abs(KG_PER_UNIT.lb - expected.pound)).toBeLessThanOrEqual(tolerance);
	expect(Math.abs(KG_PER_UNIT.oz - expected.ounce)).toBeLessThanOrEqual(tolerance);
	expect(Math.abs(KG_PER_UNIT.shortTon - expected.short_ton)).toBeLessThanOrEqual(tolerance);
	expect(Math.abs(KG_PER_UNIT.t - expected.tonne)).toBeLessThanOrEqual(tolerance);
});

test('a tonne is 1.1023 short tons and 2204.6 pounds', () => {
	const { expected, tolerance } = references.other;
	expect(Math.abs(fromKg(1000, 'shortTon') - expected.tonne_in_short_tons)).toBeLessThanOrEqual(tolerance);
	expect(Math.abs(fromKg(1000, 'lb') - expected.lb_per_tonne)).toBeLessThanOrEqual(tolerance);
});

test('four per cent of a short ton is 80 pounds', () => {
	expect(fromKg(0.04 * toKg(1, 'shortTon'), 'lb')).toBeCloseTo(80, 12);
});

test('converting there and back changes nothing', () => {
	fc.assert(
		fc.property(fc.constantFrom(...MASS_UNITS), fc.double({ min: 1e-6, max: 1e6, noNaN: true }), (unit, amount) => {
			expect(Math.abs(fromKg(toKg(amount, unit), unit) - amount)).toBeLessThanOrEqual(1e-12 * amount);
		}),
		{ seed: 4 },
	);
});

test.each([
	['12,4 kg', 12.4, 'kg', 0.1],
	['12.40', 12.4, 'kg', 0.01],
	['27.5 lb', 12.473790175, 'lb', 0.045359237],
	['16 oz', 0.45359237, 'oz', 0.028349523125],
	['1 240 g', 1.24, 'g', 0.001],
	['0.5 short tons', 453.59237, 'shortTon', 90.718474],
	['2 tonnes', 2000, 't', 1000],
	['3 Lbs.', 1.36077711, 'lb', 0.45359237],
] as const)('"%s" is %d kg', (text, massKg, unit, lastDigitKg) => {
	const read = readMass(text, 'The gross weight');
	expect(read.massKg).toBeCloseTo(massKg, 12);
	expect(read.unit).toBe(unit);
	expect(read.lastDigitKg).toBeCloseTo(lastDigitKg, 12);
});

test('a bare ton is two different things and is refused', () => {
	expect(massUnitOf('ton')).toBeUndefined();
	expect(() => readMass('2 tons', 'The feed weight')).toThrow('The unit "tons" of the feed weight is not known.');
});

test.each(['', '12.4 stone', '1,240 lb', 'kg', '12 kg gross', '1.2.3 kg'])('"%s" is refused as a weight', (text) => {
	expect(() => readMass(text, 'The gross weight')).toThrow(/gross weight/);
});
