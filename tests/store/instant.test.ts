import { expect, test } from 'vitest';
import { nextInstant } from '@/lib/store/instant';

test('instants taken as fast as can be are each later than the one before, as text too', () => {
	const instants = Array.from({ length: 1000 }, nextInstant);
	expect([...new Set(instants)].toSorted()).toEqual(instants);
	expect(instants[0]).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$/);
});
