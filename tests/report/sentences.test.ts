import { expect, test } from 'vitest';
import { accountRun } from '@/lib/balance/account';
import { closureSentence } from '@/lib/report/sentences';
import { madeUpRun } from '../balance/madeUpRun';

test('what is missing, and what is too much, is told with its weight', () => {
	const { account } = accountRun(madeUpRun());
	const told = (kg: number) =>
		closureSentence({ ...account, unaccountedKg: { value: kg, low: kg - 0.1, high: kg + 0.1 } }).replaceAll(
			'\u00a0',
			' ',
		);
	expect(told(0.5)).toMatch(/of the feed; 0\.5\d* kg \(0\.4\d* to 0\.6\d*\) is not accounted for\.$/);
	expect(told(-0.5)).toMatch(/of the feed; 0\.5\d* kg \(0\.4\d* to 0\.6\d*\) more is in the bins than was fed\.$/);
	expect(told(-0.02)).toMatch(
		/of the feed; the difference, 0\.0\d* kg \(.0\.0\d* to 0\.1\d*\), is no more than the weights leave open\.$/,
	);
});
