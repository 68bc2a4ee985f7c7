import { expect, test } from 'vitest';
import { accountRun } from '@/lib/balance/account';
import { csvOf } from '@/lib/report/exportCsv';
import { accountCsv } from '@/lib/report/runTables';
import { recoverySentence } from '@/lib/report/sentences';
import { madeUpRun } from '../balance/madeUpRun';

test('commas, quotes and line ends are quoted as RFC 4180 asks, lines end with CR LF', () => {
	expect(
		csvOf(
			['a', 'b kg'],
			[
				['x, "y"', 1.5],
				['two\nlines', undefined],
			],
		),
	).toBe('a,b kg\r\n"x, ""y""",1.5\r\n"two\nlines",\r\n');
});

test('a name that looks like a formula is not one in the file', () => {
	for (const name of ['=1+1', ' =1+1', '\uff1d1+1', '+1', '-1', '@x', '\u00a0@x', '\tx'])
		expect(csvOf(['name'], [[name]])).toBe(`name\r\n'${name}\r\n`);
});

test("an account's table has units in its head and the figures unrounded, one line a stream", () => {
	const { account } = accountRun(madeUpRun());
	const [head, feed, concentrate, ...rest] = accountCsv(account).trimEnd().split('\r\n');
	expect(rest).toHaveLength(3);
	expect(rest[2]).toContain(recoverySentence(account)!);
	const columns = head!.split(',');
	expect(columns).toContain('dry mass reconciled kg');
	const at = (line: string, column: string) => Number(line.split(',')[columns.indexOf(column)]);
	expect(at(feed!, 'dry mass reconciled kg')).toBe(account.feed.dryMassKg.reconciled!.value);
	expect(at(concentrate!, 'copper recovery fraction high')).toBe(account.products[0]!.recovery.copper!.high);
	expect(new Set([head!, feed!, concentrate!].map((line) => line.split(',').length)).size).toBe(1);
});
