import { expect, test } from 'vitest';
import { readRecordForm, typedRecord } from '@/app/_forms/recordForm';

const typed = { issuer: 'Invented yard', sampling: 'scoops from the bin', classId: 'cobra', rule: '2.5' };

test('the form of a record is read: rule, class and contract', () => {
	const { entry, fields } = readRecordForm({
		...typed,
		scoops: '12',
		contractName: 'Contract 12',
		contractYear: '2026',
		copperAtLeast: '96,5',
	});
	expect(fields.problems).toEqual([]);
	expect(entry).toMatchObject({
		rule: { kind: 'guarded', risk: 0.025 },
		classId: 'cobra',
		sampling: { scoops: 12 },
		contract: { copperAtLeast: 0.965 },
	});
	expect(typedRecord(entry)).toMatchObject({ ...typed, copperAtLeast: '96.5', contractYear: '2026' });
});

test('every problem is told at once, each at its field', () => {
	const { fields } = readRecordForm({
		...typed,
		issuer: '',
		rule: 'perhaps',
		scoops: '1.5',
		contractName: 'Contract 12',
	});
	expect(fields.problems.map(({ field }) => field).sort()).toEqual(['copperAtLeast', 'issuer', 'rule', 'scoops']);
});

test('limits of a contract need its name and year', () => {
	const { fields } = readRecordForm({ ...typed, insulationAtMost: '3', contractYear: '26' });
	expect(fields.problems.map(({ field }) => field)).toEqual(['contractName']);
	const { fields: year } = readRecordForm({ ...typed, insulationAtMost: '3', contractName: 'C', contractYear: '26' });
	expect(year.problems).toEqual([{ field: 'contractYear', message: expect.stringContaining('four digits') }]);
});
