import { expect, test } from 'vitest';
import { SEEN_FIELD } from '@/app/_forms/mergeEdit';
import { mergePriceForm, readPriceForm, typedPrices } from '@/app/_forms/priceForm';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import demo from '../../demo-images/prices.json';

const FRESH = typedPrices(undefined);
const COPPER = {
	...FRESH,
	copperPrice: '4,00',
	copperDate: '2026-05-12',
	copperNote: 'invented',
	copperPayable: '80 %',
};

test('prices shown again in the form are the prices that were kept', () => {
	const sheet = priceSheetSchema.parse(demo);
	expect(readPriceForm(typedPrices(sheet)).sheet).toEqual(sheet);
});

test('a price page that was left open takes back nothing that was entered elsewhere, and what both changed is asked about', () => {
	const shown = { ...FRESH, [SEEN_FIELD]: JSON.stringify(FRESH) };
	const elsewhere = readPriceForm({ ...COPPER, treatment: '30' }).sheet!;
	const { sheet, problems } = mergePriceForm({ ...shown, mayVaryBy: '15' }, elsewhere);
	expect(problems).toEqual([]);
	expect(sheet).toEqual({ ...elsewhere, mayVaryBy: 0.15 });
	const mine = { ...shown, ...COPPER, copperPrice: '5' };
	const clash = mergePriceForm(mine, elsewhere);
	expect(clash.sheet).toBeUndefined();
	expect(clash.problems).toEqual([{ field: 'copperPrice', message: expect.stringContaining('it now reads “4”') }]);
	// saved again it goes in the place of the other
	const again = mergePriceForm(clash.typed, elsewhere);
	expect(again.sheet?.metals.copper?.price.amount).toBe(5);
	expect(again.sheet?.treatment?.amount).toBe(30);
	// sent twice, since the answer was lost
	expect(mergePriceForm({ ...shown, ...COPPER, treatment: '30' }, elsewhere).sheet).toEqual(elsewhere);
});

test('a price with a decimal comma is read, with its share and unit', () => {
	const { sheet, fields } = readPriceForm(COPPER);
	expect(fields.problems).toEqual([]);
	expect(sheet?.metals.copper).toMatchObject({ price: { amount: 4, currency: 'USD', per: 'lb' }, payable: 0.8 });
});

test('a price of nought, no day, no origin and no payable share are each told at their field', () => {
	const { sheet, fields } = readPriceForm({ ...FRESH, copperPrice: '0' });
	expect(sheet).toBeUndefined();
	expect(fields.problems.map(({ field }) => field)).toEqual([
		'copperPrice',
		'copperDate',
		'copperPayable',
		'copperNote',
	]);
});

test('an investment without a yearly amount is told at the yearly amount', () => {
	const { fields } = readPriceForm({ ...COPPER, investment: '60000' });
	expect(fields.problems).toEqual([{ field: 'yearly', message: expect.stringContaining('in a year') }]);
});
