import { expect, test } from 'vitest';
import { warningsBySpread } from '@/lib/report/recordSeen';

const crowded = (cover: number, hidden: number) => ({
	code: 'crowded',
	message: `Pieces cover ${cover} % of the field, so some lie on others and up to ${hidden} % of them may be hidden.`,
});
const blurred = (widthMm: string) => ({
	code: 'blurred',
	message: `The picture is blurred: edges are ${widthMm} mm wide.`,
});

test('a warning that several spreads have in common is told once, with the spreads and from where to where its numbers go', () => {
	expect(
		warningsBySpread([
			{ spread: 1, warnings: [crowded(52, 30), blurred('0.4')] },
			{ spread: 3, warnings: [crowded(100, 9)] },
			{ spread: 2, warnings: [crowded(48, 27)] },
			{ spread: 2, warnings: [] },
		]),
	).toEqual([
		'Spreads 1, 2, 3: Pieces cover 48 to 100 % of the field, so some lie on others and up to 30 % of them may be hidden.',
		'Spread 1: The picture is blurred: edges are 0.4 mm wide.',
	]);
});

test('numbers that are names of spreads make no range', () => {
	const as = (spreads: string) => ({
		code: 'same-picture',
		message: `The very same picture stands in spreads ${spreads}`,
	});
	expect(
		warningsBySpread([
			{ spread: 1, warnings: [as('1 and 2')] },
			{ spread: 2, warnings: [as('1 and 2')] },
			{ spread: 3, warnings: [as('3 and 4')] },
		]),
	).toEqual([`Spreads 1, 2: ${as('1 and 2').message}`, `Spread 3: ${as('3 and 4').message}`]);
});

test('numbers that are the same are told as one, and a photo without a warning says nothing', () => {
	expect(
		warningsBySpread([
			{ spread: 1, warnings: [blurred('0.4')] },
			{ spread: 2, warnings: [blurred('0.4')] },
		]),
	).toEqual(['Spreads 1, 2: The picture is blurred: edges are 0.4 mm wide.']);
	expect(warningsBySpread([{ spread: 1, warnings: [] }])).toEqual([]);
});
