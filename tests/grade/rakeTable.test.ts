import fc from 'fast-check';
import { expect, test } from 'vitest';
import { rakeTable } from '@/lib/grade/rakeTable';

const count = fc.double({ min: 1, max: 1000, noNaN: true });
const row = fc.tuple(count, count, count);
const sumOf = (counts: readonly number[]) => counts.reduce((sum, one) => sum + one, 0);

test('columns sum to what was asked, rows to what they did, and cross ratios stay', () => {
	fc.assert(
		fc.property(fc.tuple(row, row, row), row, (table, wanted) => {
			const scale = sumOf(table.map(sumOf)) / sumOf(wanted);
			const raked = rakeTable(
				table,
				wanted.map((sum) => sum * scale),
			);
			for (const [j, sum] of wanted.entries()) {
				const own = sumOf(raked.map((line) => line[j]!));
				expect(own / (sum * scale)).toBeCloseTo(1, 4);
			}
			for (const [k, line] of table.entries()) expect(sumOf(raked[k]!) / sumOf(line)).toBeCloseTo(1, 9);
			const cross = (of: readonly (readonly number[])[]) => (of[0]![0]! * of[1]![1]!) / (of[0]![1]! * of[1]![0]!);
			expect(cross(raked) / cross(table)).toBeCloseTo(1, 6);
		}),
		{ numRuns: 30 },
	);
});

test('a class that is called nowhere stays so, and a column too few is refused', () => {
	expect(
		rakeTable(
			[
				[3, 0],
				[1, 0],
			],
			[4, 0],
		),
	).toEqual([
		[3, 0],
		[1, 0],
	]);
	expect(() => rakeTable([[1, 2]], [3])).toThrow(RangeError);
});
