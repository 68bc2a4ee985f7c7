import { expect, test } from 'vitest';
import { perName } from '@/lib/quantity/perName';

test('each name has the value made of it and of its place, in the order of the list', () => {
	const made = perName(['tare', 'gross'], (name, place) => `${place} ${name}`);
	expect(Object.entries(made)).toEqual([
		['tare', '0 tare'],
		['gross', '1 gross'],
	]);
});
