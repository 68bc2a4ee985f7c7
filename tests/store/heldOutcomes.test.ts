import { expect, test } from 'vitest';
import { HeldOutcomes } from '@/lib/store/heldOutcomes';

test('what is held is bounded over all yards together, and the oldest goes first', () => {
	const yards = [0, 1, 2].map(() => new HeldOutcomes<number>());
	for (let i = 0; i < 100; i++) for (const yard of yards) yard.hold(`run ${i}`, i);
	const held = yards.map((yard) => Array.from({ length: 100 }, (_, i) => yard.get(`run ${i}`)));
	expect(held.flat().filter((outcome) => outcome !== undefined)).toHaveLength(200);
	for (const own of held) expect([own[0], own[99]]).toEqual([undefined, 99]);
});

test('what was put anew counts as new, and what was let go makes room', () => {
	const [first, other] = [new HeldOutcomes<string>(), new HeldOutcomes<string>()];
	first.hold('early', 'old');
	for (let i = 0; i < 199; i++) other.hold(`run ${i}`, 'held');
	first.hold('early', 'new');
	other.hold('one more', 'held');
	expect([first.get('early'), other.get('run 0'), other.get('run 1')]).toEqual(['new', undefined, 'held']);
	other.delete('run 1');
	other.hold('another', 'held');
	expect([first.get('early'), other.get('run 2')]).toEqual(['new', 'held']);
	expect(first.some((outcome) => outcome === 'new')).toBe(true);
	first.delete('early');
	expect(first.some((outcome) => outcome === 'new')).toBe(false);
});
