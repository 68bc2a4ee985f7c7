import { expect, test } from 'vitest';
import { knownPerName, perName } from '@/lib/quantity/perName';

test('each name has the value made of it and of its place, in the order of the list', () => {
	const made = perName(['tare', 'gross'], (name, place) => `${place} ${name}`);
	expect(Object.entries(made)).toEqual([
		['tare', '0 tare'],
		['gross', '1 gross'],
	]);
});

test('a name that has no value is left out, nought is one', () => {
	const known = knownPerName(['gross', 'tare', 'dry'], (name) => ({ gross: 12.4, tare: 0 })[name as string]);
	expect(known).toEqual({ gross: 12.4, tare: 0 });
	expect('dry' in known).toBe(false);
});
