import { expect, test } from 'vitest';
import { LatestAsked } from '@/lib/quantity/latestAsked';

test('what nobody asked for longest is let go', () => {
	const held = new LatestAsked<number>(2);
	held.hold('a', 1);
	held.hold('b', 2);
	expect(held.get('a')).toBe(1);
	held.hold('c', 3);
	expect([held.get('a'), held.get('b'), held.get('c')]).toEqual([1, undefined, 3]);
	held.hold('a', 4);
	held.delete('c');
	expect([held.get('a'), held.get('c')]).toEqual([4, undefined]);
});
