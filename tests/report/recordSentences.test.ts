import { expect, test } from 'vitest';
import { standingNotes } from '@/lib/report/recordSentences';
import { madeRecord } from './madeRecord';

test('the limit that decides first is told by what became of it', () => {
	const [standing] = madeRecord().standings;
	const [copper, insulation] = standing!.limits;
	const told = (closest: number) => standingNotes({ ...standing!, closest }).join(' ');
	expect([copper!.verdict, insulation!.verdict]).toEqual(['notDecided', 'doesNotMeet']);
	expect(told(0)).toContain('Closest to failing: Copper at least 97');
	expect(told(1)).toContain('Furthest from being met: Insulation at most 1');
});
