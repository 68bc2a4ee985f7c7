import { expect, test } from 'vitest';
import { settlementSentence, standingNotes } from '@/lib/report/recordSentences';
import { madeRecord } from './madeRecord';

test('the limit that decides first is told by what became of it', () => {
	const [standing] = madeRecord().standings;
	const [copper, insulation] = standing!.limits;
	const told = (closest: number) => standingNotes({ ...standing!, closest }).join(' ');
	expect([copper!.verdict, insulation!.verdict]).toEqual(['notDecided', 'doesNotMeet']);
	expect(told(0)).toContain('Closest to failing: Copper at least 97');
	expect(told(1)).toContain('Furthest from being met: Insulation at most 1');
});

test('no reading is named where a range is too wide for any', () => {
	const [limit] = madeRecord().standings[0]!.limits;
	const told = (side: 'least' | 'most', readsAt: number) =>
		settlementSentence({ ...limit!, side, settlement: { kind: 'check', readsAt } });
	expect(told('most', 0)).toMatch(/or a laboratory's result would\.$/);
	expect(told('least', 1)).toMatch(/or a laboratory's result would\.$/);
	expect(told('most', 0.004)).toMatch(/or a value that reads 0\.4.% or less with this range\.$/);
});
