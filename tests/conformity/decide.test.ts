import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { acceptanceLimit, conformanceProbability, type DecisionRule, verdictOf } from '@/lib/conformity/decide';
import type { Limit } from '@/lib/conformity/limit';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { normalDraws } from '../quantity/normalDraws';

interface OneSided {
	readonly name: string;
	readonly value: number;
	readonly u: number;
	readonly side: 'least' | 'most';
	readonly limit: number;
	readonly probability: number;
}
const reference: {
	readonly normal: readonly OneSided[];
	readonly twoSided: { value: number; u: number; least: number; most: number; probability: number };
	readonly acceptance: { limit: number; u: number; risk: number; acceptedFrom: number };
} = JSON.parse(readFileSync('tests/reference/conformity.json', 'utf8'));

const DRAWS = 400_000;
/** Five standard deviations of a share found by so many draws. */
const scatterOf = (probability: number) => 5 * Math.sqrt((probability * (1 - probability)) / DRAWS);
const LIMIT: Limit = { share: 'copper', side: 'least', fraction: 0.97, source: { title: 'made', year: '2026' } };
const GUARDED: DecisionRule = { kind: 'guarded', risk: 0.05 };

describe('the chance to lie within a limit', () => {
	test.each(reference.normal)('$name', ({ value, u, side, limit, probability }) => {
		const draws = normalDraws({ value, u }, DRAWS, seededRandom(1, 'conformity'));
		const found = conformanceProbability(draws, { side, fraction: limit });
		expect(Math.abs(found - probability)).toBeLessThan(scatterOf(probability));
	});

	test('between two limits it is what both have in common', () => {
		const { value, u, least, most, probability } = reference.twoSided;
		const draws = normalDraws({ value, u }, DRAWS, seededRandom(2, 'conformity'));
		const both =
			conformanceProbability(draws, { side: 'least', fraction: least }) +
			conformanceProbability(draws, { side: 'most', fraction: most }) -
			1;
		// the reference is given to four digits
		expect(Math.abs(both - probability)).toBeLessThan(scatterOf(probability) + 5e-5);
	});

	test('never rises when a limit is made harder', () => {
		const shares = fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 1, maxLength: 50 });
		const limit = fc.double({ min: 0, max: 1, noNaN: true });
		fc.assert(
			fc.property(shares, limit, limit, (draws, a, b) => {
				const [low, high] = [Math.min(a, b), Math.max(a, b)];
				const at = (side: 'least' | 'most', fraction: number) => conformanceProbability(draws, { side, fraction });
				expect(at('least', high)).toBeLessThanOrEqual(at('least', low));
				expect(at('most', low)).toBeLessThanOrEqual(at('most', high));
			}),
		);
	});
});

describe('a verdict', () => {
	test('guarded, is given only where the risk of being wrong is small, in both directions', () => {
		const at = (probability: number) => verdictOf({ probability, value: 0.98 }, LIMIT, GUARDED);
		expect([0.95, 0.949, 0.5, 0.051, 0.05].map(at)).toEqual([
			'meets',
			'notDecided',
			'notDecided',
			'notDecided',
			'doesNotMeet',
		]);
	});

	test('by simple acceptance, goes by the best value alone', () => {
		const at = (value: number) => verdictOf({ probability: 0.6, value }, LIMIT, { kind: 'simple' });
		expect(at(0.97)).toBe('meets');
		expect(at(0.9699)).toBe('doesNotMeet');
	});

	test('is never given against a limit on each part of what is only seen together', () => {
		const each: Limit = { ...LIMIT, share: 'other', side: 'most', fraction: 0.01, isOnEach: true };
		expect(verdictOf({ probability: 0.001, value: 0.03 }, each, GUARDED)).toBe('notDecided');
		expect(verdictOf({ probability: 0.001, value: 0.03 }, each, { kind: 'simple' })).toBe('notDecided');
		expect(verdictOf({ probability: 0.99, value: 0.003 }, each, GUARDED)).toBe('meets');
	});

	test('the guarded limit stands off by the quantile of the risk', () => {
		const { limit, u, risk, acceptedFrom } = reference.acceptance;
		expect(acceptanceLimit({ side: 'least', fraction: limit }, u, risk)).toBeCloseTo(acceptedFrom, 6);
		expect(acceptanceLimit({ side: 'most', fraction: limit }, u, risk)).toBeCloseTo(2 * limit - acceptedFrom, 6);
	});
});
