import { expect, test } from 'vitest';
import { historyText } from '@/app/_command/historyFiles';
import { factorialPlanOf } from '@/lib/balance/factorialPlan';
import { historyLineOf } from '@/lib/balance/runHistory';
import { settingEffectsOf } from '@/lib/balance/settingEffects';
import { planSentences } from '@/lib/report/planSentences';
import { effectsCsv, historyCsv, planCsv, rerunCsv } from '@/lib/report/tuningTables';

const share = (value: number) => ({ value, low: value - 0.02, high: value + 0.02 });

test('a history has one line a run, the unknown left empty and carry-over told', () => {
	const known = { name: 'Run 1', date: '2026-05-12', recovery: share(0.9), grade: share(0.96), firstAfterChange: true };
	const limited = { name: 'Run 3', recoveryBounds: { low: 0.4, high: 0.8 }, firstAfterChange: false };
	const inReading = { name: 'Run 4', firstAfterChange: false, inReading: { read: 3, all: 12 } };
	const text = historyCsv([known, { name: 'Run, 2', firstAfterChange: false }, limited, inReading]);
	const [head, first, second, third, fourth, end] = text.split('\r\n');
	expect(head).toBe(
		'run,date,copper recovery fraction,copper recovery fraction low,copper recovery fraction high,' +
			'copper grade of the concentrates fraction,copper grade of the concentrates fraction low,' +
			'copper grade of the concentrates fraction high,first after a change,note',
	);
	expect(first).toBe('Run 1,2026-05-12,0.9,0.88,0.92,0.96,0.94,0.98,yes,');
	expect(second).toBe('"Run, 2",,,,,,,,no,');
	expect(third).toBe('Run 3,,,0.4,0.8,,,,no,');
	expect(fourth).toBe('Run 4,,,,,,,,no,Photos are still being read: 3 of 12 are done.');
	expect(end).toBe('');
});

test('a run without concentrates has neither recovery nor grade in its history', () => {
	// only the groups are looked at
	const account = { together: {} } as Parameters<typeof historyLineOf>[0];
	expect(historyLineOf(account, { name: 'Run 1' })).toEqual({ name: 'Run 1', firstAfterChange: false });
});

test('a recovery of which limits are known is told by them', () => {
	const recoveryBounds = { copper: { low: 0.4, high: 0.8 } };
	const concentrate = { productIds: [], massFraction: {}, recovery: {}, upgradeRatio: {}, recoveryBounds };
	const line = historyLineOf({ together: { concentrate } }, { name: 'Run 1', date: '2026-05-12' });
	expect(line).toMatchObject({ recoveryBounds: recoveryBounds.copper });
	const none = { effects: [], warnings: [], runs: 1, degreesOfFreedom: 0 };
	const told = historyText({ runs: [line], effects: { recovery: none, grade: none } });
	expect(told).toContain('between 40 and 80');
});

test('effects come with their unit, and what cannot be told comes as a note', () => {
	const runs = [1, 2, 3, 4].map((slope) => ({
		name: `Run ${slope}`,
		outcome: { value: 0.8 + 0.01 * slope, u: 0.01 },
		settings: { Slope: slope, ...(slope === 1 ? { Strokes: 300 } : {}) },
	}));
	const lines = effectsCsv({ recovery: settingEffectsOf(runs) }, () => 'degrees').split('\r\n');
	expect(lines[1]).toMatch(/^recovery,Slope,degrees,4,2,0\.0099|^recovery,Slope,degrees,4,2,0\.01/);
	expect(lines[2]).toContain('"Not noted in every run, so left out: Strokes."'.replaceAll('"', ''));
});

test('a plan as a table has its levels in the order of the runs', () => {
	const plan = factorialPlanOf([{ name: 'Slope', low: 4, high: 6 }], 7);
	const lines = planCsv(plan, () => 'degrees')
		.trimEnd()
		.split('\r\n');
	expect(lines[0]).toBe('run,"Slope, degrees",seed of the order,note');
	expect(lines.slice(1, -1)).toEqual(plan.runs.map(({ order, high }) => `${order},${high[0] ? 6 : 4},7,`));
	// as on its page
	expect(planSentences(plan)).toHaveLength(1);
	expect(lines.at(-1)).toBe(`,,,"${planSentences(plan)[0]}"`);
});

test('a rerun as a table names the steady state and puts the gain beside one rerun', () => {
	const value = { middlings: 'kept' as const, gainPerKg: { value: 0.3, low: 0.25, high: 0.35 }, probabilityPays: 0.99 };
	const passes = ([0, 1, 'steady'] as const).map((reruns) => ({ reruns, recovery: share(0.9) }));
	const warnings = [{ code: 'balance-does-not-close', message: 'The balance does not close.' }];
	const lines = rerunCsv({ passes, value, currency: 'EUR' }, warnings).trimEnd().split('\r\n');
	expect(lines).toHaveLength(5);
	expect(lines[1]).toBe('0,0.9,0.88,0.92,,,,,,,,,,,,,,');
	expect(lines[4]).toMatch(/^,+The balance does not close\.$/);
	expect(lines[2]).toContain(',0.3,EUR per kg of dry waste,0.25,0.35,0.99,');
	expect(lines[3]).toMatch(/^steady,/);
});
