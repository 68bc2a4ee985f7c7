import { expect, test } from 'vitest';
import { CalledShares } from '@/lib/grade/calledShares';
import { measuredErrorRates } from '@/lib/grade/measuredErrorRates';
import { drawSharedErrors } from '@/lib/grade/sharedErrors';
import { perClass } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import type { BlockSums } from '@/lib/particles/spreadReading';
import { madeReading } from './madeReading';

const DRAWS = 20_000;
const shared = drawSharedErrors(DEFAULT_MATERIAL, measuredErrorRates, DRAWS, 5);
const FIELD_MM2 = 17_000;
const UNJUDGED_MM2 = 340;

/** Mean of what is handed out of the unjudged area to each class, in parts of it, and how far its sum scatters. */
function handedOut(unsureMm2?: BlockSums['unsureMm2']) {
	// so many pieces that none is drawn for those not met
	const reading = madeReading({
		brightCopper: { count: 600, areaMm2: 2, widthMm: 0.5 },
		insulation: { count: 600, areaMm2: 4, widthMm: 1.5 },
	});
	const [block] = reading.blocks;
	const unjudged = { ...block!, fieldMm2: 0, areaMm2: perClass(() => 0), unjudgedMm2: UNJUDGED_MM2 };
	const blocks = [...reading.blocks, unsureMm2 === undefined ? unjudged : { ...unjudged, unsureMm2 }];
	const seen = [1200, 0, 0, 2400, 0];
	const calls = new CalledShares({ ...reading, blocks }, seen, FIELD_MM2, shared, ['made'], 1);
	const called = new Float64Array(6);
	const sums = [0, 0, 0, 0, 0];
	const totals = [];
	for (let i = 0; i < DRAWS; i++) {
		calls.next(called);
		let total = 0;
		for (const [c, area] of seen.entries()) {
			const out = (called[c + 1]! * FIELD_MM2 - area) / UNJUDGED_MM2;
			sums[c]! += out / DRAWS;
			total += out;
		}
		totals.push(total);
	}
	return { sums, low: totals.filter((total) => total < 0.25).length / DRAWS };
}

test('unjudged area goes to classes as they were seen, and half of it is bare, where nothing tells more', () => {
	const { sums, low } = handedOut();
	// each class has a tenth of a piece beside two shared out as seen; a fiftieth holds what is drawn for classes not seen at all
	expect(sums[0]).toBeCloseTo((0.5 * (0.1 + 2 / 3)) / 2.5, 1);
	expect(sums[3]).toBeCloseTo((0.5 * (0.1 + 4 / 3)) / 2.5, 1);
	expect(low).toBeGreaterThan(0.2);
	expect(low).toBeLessThan(0.3);
});

test('unjudged area goes to classes as the probabilities of its pixels have it, where the model tells them', () => {
	const area = { brightCopper: 0, tinnedCopper: 0, aluminium: 0.6, insulation: 0.2, other: 0 };
	const { sums, low } = handedOut(perClass((name) => area[name] * UNJUDGED_MM2));
	expect(sums[2]).toBeCloseTo(0.6, 1);
	expect(sums[0]).toBeLessThan(0.02);
	expect(sums[3]).toBeCloseTo(0.2, 1);
	// a beta deviate of shapes 1.6 and 0.4 lies under a quarter in 3.8 worlds of a hundred, an even one in 25
	expect(low).toBeLessThan(0.05);
});
