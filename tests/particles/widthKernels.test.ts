import fc from 'fast-check';
import { expect, test } from 'vitest';
import { PARTS, REACH } from '@/lib/particles/distanceCode';
import { ridgeWidthsSlowly } from '@/lib/particles/localWidth';
import { CORNERS, CORNERS_FROM_BIT, JOINS_FROM_BIT, SIDES } from '@/lib/particles/rimCode';
import { ridgeWidthsWith } from '@/lib/particles/widthKernels';
import { runsOf, runsWhere } from '@/lib/segmentation/labelRuns';

const ridgeWidths = ridgeWidthsWith({ slope: 0.2, excessPx: 0.25, thinPx: 3 });

/** Bars of several labels, each over those before it. */
const bars = fc.record({
	width: fc.integer({ min: 1, max: 90 }),
	height: fc.integer({ min: 1, max: 70 }),
	bars: fc.array(
		fc.record({
			x: fc.double({ min: 0, max: 1, noNaN: true }),
			y: fc.double({ min: 0, max: 1, noNaN: true }),
			half: fc.double({ min: 0.6, max: 12, noNaN: true }),
			length: fc.double({ min: 1, max: 40, noNaN: true }),
			turn: fc.double({ min: 0, max: Math.PI, noNaN: true }),
			label: fc.constantFrom(1, 2, 4, 255),
		}),
		{ maxLength: 12 },
	),
});

test('the kernels say what going pixel by pixel says', () => {
	fc.assert(
		fc.property(bars, ({ width, height, bars: drawn }) => {
			const labels = new Uint8Array(width * height);
			for (const { x, y, half, length, turn, label } of drawn) {
				for (let i = 0; i < labels.length; i++) {
					const [dx, dy] = [(i % width) - x * width, Math.floor(i / width) - y * height];
					const along = dx * Math.cos(turn) + dy * Math.sin(turn);
					const off = dy * Math.cos(turn) - dx * Math.sin(turn);
					if (Math.abs(along) < length && Math.abs(off) < half) labels[i] = label;
				}
			}
			// pixels that are not judged have no width, but they end a piece
			const runs = runsWhere(runsOf(labels, width, height), (label) => label !== 255);
			const fast = ridgeWidths(runs, labels);
			const slow = ridgeWidthsSlowly(runs, labels);
			// without an other label anywhere there is no distance to it
			if (fast === undefined) {
				expect(slow.widths).toContain(Math.max(width, height));
				return;
			}
			expect(fast.widths).toHaveLength(slow.widths.length);
			// a near tie of two ways up may be decided otherwise; all else is off by rounding alone
			const off = slow.widths.reduce((n, w, i) => n + (Math.abs(w - fast.widths[i]!) > 2 / PARTS ? 1 : 0), 0);
			expect(off).toBeLessThanOrEqual(1 + 0.02 * slow.widths.length);
			for (let i = width + 1; i < labels.length - width - 1; i++) {
				if (fast.thin[i] === 0 || i % width === 0 || i % width === width - 1) continue;
				const ring = (steps: readonly number[], holds: (j: number) => boolean) =>
					steps.filter((step) => holds(i + step)).length;
				const [sides, corners] = [
					[-width, -1, 1, width],
					[-width - 1, 1 - width, width - 1, width + 1],
				] as const;
				const isOther = (j: number) => labels[j] !== labels[i];
				const isThick = (j: number) => labels[j] === labels[i] && fast.thin[j] === 0;
				const rim = fast.rims![i]!;
				expect(rim & SIDES).toBe(ring(sides, isOther));
				expect((rim >> CORNERS_FROM_BIT) & CORNERS).toBe(ring(corners, isOther));
				expect(rim >> JOINS_FROM_BIT).toBe(ring([...sides, ...corners], isThick) > 0 ? 1 : 0);
			}
		}),
		{ numRuns: 60 },
	);
});

test('a piece too wide for the kernels is left to the slow way', () => {
	const side = 2 * REACH + 40;
	const labels = new Uint8Array(side * side);
	for (let row = 1; row < side - 1; row++) labels.fill(4, row * side + 1, (row + 1) * side - 1);
	expect(ridgeWidths(runsOf(labels, side, side), labels)).toBeUndefined();
});
