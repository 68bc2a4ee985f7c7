import fc from 'fast-check';
import { expect, test } from 'vitest';
import { equalValueRecoveryOf } from '@/lib/value/equalValue';
import { marginOf, ratesOf } from '@/lib/value/marginModel';
import { priceSheetSchema } from '@/lib/value/priceSheet';

const usd = (amount: number) => ({ amount, currency: 'USD', per: 'kg' as const });

test('along a line of equal value the margin stays the same', () => {
	fc.assert(
		fc.property(
			fc.double({ min: 0.3, max: 1, noNaN: true }),
			fc.double({ min: 0.3, max: 1, noNaN: true }),
			fc.double({ min: 0, max: 0.05, noNaN: true }),
			(grade, other, deduction) => {
				const rates = ratesOf(
					priceSheetSchema.parse({
						deckside: 'prices/1',
						metals: { copper: { price: usd(8), date: '2026-05-12', note: 'invented', payable: 0.9, deduction } },
						treatment: usd(0.2),
						freight: usd(0.1),
					}),
				);
				const marginAt = (at: number) => {
					const copper = 0.04 * equalValueRecoveryOf(5, at, rates);
					return marginOf(
						{ mass: copper / at, copper, aluminium: 0, insulation: copper / at - copper, other: 0 },
						rates,
					);
				};
				expect(marginAt(grade)).toBeCloseTo(0.04 * 5, 9);
				expect(marginAt(other)).toBeCloseTo(marginAt(grade), 9);
			},
		),
	);
});
