import { expect, test } from 'vitest';
import { readCheckForm, spreadFieldOf } from '@/app/_forms/checkForm';
import { FieldReader } from '@/app/_forms/readFields';

const read = (typed: Record<string, string>) => {
	const fields = new FieldReader(typed);
	return { entry: readCheckForm(typed, fields), problems: fields.problems };
};

test('a dried sub-sample is read as typed, and what can not be is told at its own field', () => {
	expect(read({ kind: 'moisture', subWet: '100,00', subDry: '95.2' }).entry).toEqual({
		kind: 'moisture',
		wet: '100,00',
		dry: '95.2',
	});
	expect(read({ kind: 'moisture', subWet: '100' }).problems).toEqual([
		{ field: 'subDry', message: 'Enter the weight dry' },
	]);
	expect(read({ kind: 'moisture', subWet: 'some', subDry: '95' }).problems.map(({ field }) => field)).toEqual([
		'subWet',
	]);
});

test('a blank names its spread in a field of its own, apart from that of the hand sort on the same page', () => {
	expect(read({ kind: 'blank', blankId: 'a' })).toEqual({ entry: { kind: 'blank', spread: 1 }, problems: [] });
	expect(spreadFieldOf('blank')).not.toBe(spreadFieldOf('handSort'));
});

test('a displacement keeps its own dry weight', () => {
	const { entry } = read({ kind: 'displacement', dry: '100', displacedMl: '21.5', subDry: '3' });
	expect(entry).toMatchObject({ kind: 'displacement', dry: '100' });
});

test('a displaced sample of no weight is told at its field', () => {
	const { entry, problems } = read({ kind: 'displacement', dry: '0', displacedMl: '3' });
	expect(entry).toBeUndefined();
	expect(problems.map(({ field }) => field)).toEqual(['dry']);
});

test('a pile that cannot be read is told by its name, and what is missing by its label', () => {
	const told = (typed: Record<string, string>) => read(typed).problems.map(({ message }) => message);
	expect(told({ kind: 'handSort', 'pile-insulation': '-5', 'pile-brightCopper': '12' })).toEqual([
		'The weight of insulation is below nothing. Check it.',
	]);
	for (const kind of ['strip', 'displacement', 'magnet', 'assay'])
		for (const message of told({ kind })) expect(message).toMatch(/^Enter /);
});
