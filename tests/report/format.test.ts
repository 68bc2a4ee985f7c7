import fc from 'fast-check';
import { expect, test } from 'vitest';
import { printPoints } from '@/lib/report/compareSentences';
import { NO_VALUE_NOTE } from '@/lib/report/exportCsv';
import {
	printDay,
	printEstimate,
	printLimit,
	printMass,
	printMassLimit,
	printNumber,
	printQuantity,
	printRatioLimit,
	printRatioPercent,
	printShare,
	printShareShort,
	printUpperLimit,
} from '@/lib/report/format';
import { printMoney } from '@/lib/report/moneySentences';
import { gradeSentences } from '@/lib/report/sentences';
import { weightSentence } from '@/lib/report/weightSentence';

/** Spaces that do not break, as plain ones. */
const plain = (text: string) => text.replaceAll('\u00a0', ' ');

test('a share is printed to one digit of its range’s half-width: 96 % (94 to 98)', () => {
	expect(plain(printShare({ value: 0.9612, low: 0.9401, high: 0.9799 }))).toBe('96 % (94 to 98)');
});

test('two digits where the first is a 1', () => {
	expect(plain(printShare({ value: 0.9612, low: 0.9503, high: 0.9736 }))).toBe('96.1 % (95.0 to 97.4)');
});

test('what is not known to the unit is printed in tens or hundreds', () => {
	const shown = ({ value, low, high }: ReturnType<typeof printEstimate>) => plain(`${value} (${low} to ${high})`);
	expect(shown(printEstimate({ value: 1049.2, low: 991, high: 1121 }))).toBe('1 050 (990 to 1 120)');
	expect(shown(printEstimate({ value: 4627, low: 4369, high: 4944 }))).toBe('4 600 (4 400 to 4 900)');
	expect(shown(printEstimate({ value: -449, low: -620, high: -320 }))).toBe('\u2212450 (\u2212620 to \u2212320)');
	expect(shown(printEstimate({ value: 4, low: -60, high: 40 }))).toBe('0 (\u221260 to 40)');
});

test('no share is printed finer than a hundredth of a per cent', () => {
	expect(plain(printShare({ value: 0.99968, low: 0.999577, high: 0.999799 }))).toBe('99.97 % (99.96 to 99.98)');
});

test('products over feed may pass the whole, and say by how much', () => {
	expect(plain(printRatioPercent({ value: 1.08, low: 1.071, high: 1.089 }))).toBe('108.0 % (107.1 to 108.9)');
});

test('a range too narrow to show does not pretend to be exact', () => {
	expect(plain(printShare({ value: 0.999999, low: 0.999998, high: 1 }))).toBe('over 99.99 %');
});

test('below its detection limit the limit is printed and no tiny number', () => {
	expect(plain(printShare({ value: 0.001, low: 0, high: 0.0093, belowDetectionLimit: true }))).toBe(
		'below detection (under 0.93 %)',
	);
	expect(plain(printShareShort({ value: 0.001, low: 0, high: 0.0093, belowDetectionLimit: true }))).toBe(
		'under 0.93 %',
	);
	expect(printLimit({ value: 0, low: 0, high: 1e-9, belowDetectionLimit: true })).toBe('0.01');
	const missing = { value: 0.01, low: 0, high: 0.053, belowDetectionLimit: true };
	expect(printRatioLimit(missing)).toBe('0.06');
	expect(printRatioLimit({ ...missing, high: 0.001 })).toBe('0.01');
	expect(plain(printMass(missing))).toBe('under 0.053 kg');
	expect(printMassLimit(missing)).toBe('0.053');
});

test('no limit is rounded down, wherever it is printed, and none by more than a tenth up', () => {
	// of numbers in a text: with blanks between thousands, and a true minus
	const read = (text: string, at = 0) => {
		const found = [...text.matchAll(/\u2212?\d+(?:\u00a0\d{3})*(?:\.\d+)?/g)][at]?.[0] ?? '';
		return Number(found.replaceAll('\u00a0', '').replace('\u2212', '-'));
	};
	const below = (high: number) => ({ value: high / 3, low: 0, high, belowDetectionLimit: true });
	const near = 1 - 1e-11; // what changes of units make up
	fc.assert(
		fc.property(
			fc.double({ min: 1e-4, max: 0.9499, noNaN: true }),
			fc.double({ min: 1e-3, max: 1e5, noNaN: true }),
			(share, amount) => {
				const shares = [printShare(below(share)), printShareShort(below(share)), printLimit(below(share))];
				for (const text of shares) {
					expect(read(text)).toBeGreaterThanOrEqual(100 * share * near);
					expect(read(text)).toBeLessThanOrEqual(110 * share + 0.01);
				}
				const masses = [printMass(below(amount)), printMassLimit(below(amount)), printMoney(below(amount), 'USD')];
				for (const text of masses) {
					expect(read(text)).toBeGreaterThanOrEqual(amount * near);
					expect(read(text)).toBeLessThanOrEqual(1.1 * amount + 1e-6);
				}
				expect(read(printMass(below(amount), 'lb'))).toBeGreaterThanOrEqual((amount / 0.45359237) * near);
				expect(read(printRatioLimit(below(amount)))).toBeGreaterThanOrEqual(amount * near);
				const between = printPoints({ value: 0, low: -share, high: amount, belowDetectionLimit: true });
				expect(read(between)).toBeLessThanOrEqual(-100 * share * near);
				expect(read(between, 1)).toBeGreaterThanOrEqual(100 * amount * near);
			},
		),
		{ numRuns: 2000 },
	);
});

test('a limit of 94 % is not told as one of 90 %, and one of 7 % not as one of 7.1', () => {
	expect(printLimit({ value: 0.3, low: 0, high: 0.94, belowDetectionLimit: true })).toBe('94');
	expect(printUpperLimit(0.07, 100)).toBe('7.0');
	expect(printUpperLimit(0.0994, 100)).toBe('10');
	expect(plain(printUpperLimit(1241, 1))).toBe('1 300');
	expect(plain(printUpperLimit(-449, 1))).toBe('\u2212440');
});

test('a mass keeps the unit it was typed in', () => {
	expect(plain(printMass({ value: 4.12, low: 4.1, high: 4.14 }))).toBe('4.12 kg (4.10 to 4.14)');
	expect(plain(printMass({ value: 0.45359237, low: 0.4490564, high: 0.4581283 }, 'lb'))).toBe(
		'1.000 lb (0.990 to 1.010)',
	);
});

test('thousands are set apart, minus is a minus sign, and nothing is minus nought', () => {
	expect(plain(printNumber(1240.5, 1))).toBe('1 240.5');
	expect(printNumber(-0.04, 2)).toBe('\u22120.04');
	expect(printNumber(-0.0004, 2)).toBe('0.00');
});

test('an exact amount is printed as it is', () => {
	expect(printEstimate({ value: 1, low: 1, high: 1 }, 100).value).toMatch(/^100(\.0*)?$/);
});

test('a reference figure carries its standard uncertainty to two digits', () => {
	expect(plain(printQuantity({ value: 8930, u: 20 }))).toBe('8 930 ± 20');
});

test('a day is written out', () => {
	expect(plain(printDay('2026-03-05'))).toBe('5 Mar 2026');
});

test('a limit so high that it says nothing is told as such, on pages, in sentences and in tables', () => {
	const untold = { value: 0.4, low: 0, high: 0.9991, belowDetectionLimit: true };
	expect(plain(printShare(untold))).toBe('can’t be told (0 to 100 %)');
	expect(plain(printShareShort(untold))).toBe('can’t be told');
	// of shares that may be anything 95 in 100 lie under 95 %: from there on a limit says no more than that
	expect(plain(printShare({ ...untold, high: 0.95 }))).toBe('can’t be told (0 to 100 %)');
	expect(plain(printShare({ ...untold, high: 0.94 }))).toBe('below detection (under 94 %)');
	const other = { value: 0.3, low: 0.2, high: 0.4 };
	const little = { value: 0.001, low: 0, high: 0.009, belowDetectionLimit: true };
	const shares = { copper: untold, freeCopper: untold, aluminium: untold, insulation: other, other: little };
	expect(gradeSentences(shares).map(plain)).toEqual([
		'Copper can’t be told (0 to 100 %).',
		'Insulation 30 % (20 to 40).',
		'Aluminium can’t be told (0 to 100 %).',
		'Other: below detection.',
	]);
	expect(NO_VALUE_NOTE).toContain('can’t tell');
});

test('a dried sub-sample on record takes the place of the moisture that a bin was weighed with, in words too', () => {
	const weighing = { gross: '12 kg', tare: '2 kg', moisture: { kind: 'fraction', fraction: '30 %' } } as const;
	const dried = { entry: { kind: 'moisture', wet: '100 g', dry: '90 g' } } as const;
	const said = plain(weightSentence(weighing, { runId: 'Run', key: 'product:Tailings' }, [dried]));
	expect(said).toMatch(
		/^Weighed: 10 kg net, wet; 9\.0\d* kg \(8\.\d+ to 9\.\d+\) dry, by what its dried sub-sample lost\.$/,
	);
});

test('a weight is told with the digits that its scale shows, last noughts included', () => {
	const said = (gross: string, tare?: string, resolution?: string) =>
		plain(weightSentence({ gross, tare, resolution }, { runId: 'Run', key: 'feed' }));
	expect(said('5.40 kg', '1.00 kg')).toBe('Weighed: 4.40 kg net, dry.');
	expect(said('5.40 kg', '1 kg')).toBe('Weighed: 4.40 kg net, dry.');
	expect(said('412 kg', '18 kg', '0.5 kg')).toBe('Weighed: 394.0 kg net, dry.');
	expect(said('1240 g')).toBe('Weighed: 1.240 kg net, dry.');
	expect(said('5.25 kg', undefined, '0.1 kg')).toBe('Weighed: 5.25 kg net, dry.');
});

test('the range of a dry mass holds the own error of the scale that it was weighed on', () => {
	// net 10 kg on steps of 1 g, a tenth of it water: 9 kg dry. Own error of the scale 1 %, so 1.96 x 0.09 kg = 0.18 kg either side
	const moisture = { kind: 'fraction', fraction: '10 %', u: 0 } as const;
	const weighing = { gross: '12 kg', tare: '2 kg', resolution: '1 g', scale: 'hanging', moisture };
	const place = { runId: 'Run', key: 'feed' } as const;
	expect(plain(weightSentence(weighing, { ...place, scales: { hanging: 0.01 } }))).toBe(
		'Weighed: 10.000 kg net, wet; 9.00 kg (8.82 to 9.18) dry.',
	);
	expect(plain(weightSentence(weighing, { ...place, scales: { other: 0.01 } }))).toContain('9.0000 kg');
});
