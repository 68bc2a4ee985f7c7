import { expect, test } from 'vitest';
import { perClass } from '@/lib/material/classes';
import { hiddenShareAt, judgeSpread } from '@/lib/particles/judgeSpread';
import type { SpreadReading } from '@/lib/particles/spreadReading';
import { imageReference } from '../reference/imageComponents';

function reading(coverageFraction: number, count: number, unjudged = 0): SpreadReading {
	const zero = perClass(() => 0);
	const piece = { count, meanWidthAreaMm3: 1, weightedMeanWidthAreaMm3: 1, medianWidthMm: 1 };
	return {
		method: 'threshold',
		surfaceKind: 'mat',
		blocks: [{ areaMm2: zero, widthAreaMm3: zero, sheetAreaMm2: zero, unjudgedMm2: unjudged * 100, fieldMm2: 100 }],
		pieces: perClass((name) => ({ ...piece, count: name === 'insulation' ? count : 0 })),
		coverageFraction,
	};
}

const codes = (of: SpreadReading) => judgeSpread(of).map((warning) => warning.code);

test('the share hidden under other pieces is that of the Boolean model', () => {
	const { expected } = imageReference('c.cover_limit') as unknown as {
		expected: { visible: number[]; hidden_share: number[] };
	};
	for (const [i, visible] of expected.visible.entries()) {
		expect(hiddenShareAt(visible)).toBeCloseTo(expected.hidden_share[i]!, 9);
	}
	expect(hiddenShareAt(0)).toBe(0);
});

test('a good spread is not complained about', () => {
	expect(codes(reading(0.3, 800))).toEqual([]);
});

test('a crowded spread is told how much less to spread', () => {
	const [warning] = judgeSpread(reading(0.64, 4000));
	expect(warning?.code).toBe('crowded');
	// ln(0.36) / ln(0.6) = 2.0: half as much gives a cover of 0.4
	expect(warning?.message).toContain('Spread about 50 % less');
});

test('how much less to spread is told as finely as a hand spreads, and nothing where that is nothing', () => {
	// ln(0.6) / ln(1 - cover): 0.968 of it at 0.41, 0.909 at 0.43
	expect(codes(reading(0.41, 4000))).toEqual([]);
	expect(judgeSpread(reading(0.43, 4000))[0]?.message).toContain('Spread about 10 % less');
});

test('an empty field, too few pieces, much unjudged and pieces over the edge are each named', () => {
	expect(codes(reading(0.001, 3))).toEqual(['nothing-spread']);
	expect(codes(reading(0.02, 40))).toEqual(['too-few-pieces']);
	expect(codes(reading(0.3, 800, 0.1))).toEqual(['unjudged-share']);
	expect(codes({ ...reading(0.3, 800), edgeAreaFraction: 0.2 })).toEqual(['pieces-over-edge']);
});

test('a photo read by colours because the model is not there says so', () => {
	expect(judgeSpread(reading(0.3, 800, 0), true).map(({ code }) => code)).toEqual(['model-missing']);
	expect(judgeSpread(reading(0.3, 800, 0)).map(({ code }) => code)).toEqual([]);
});
