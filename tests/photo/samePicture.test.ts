import { expect, test } from 'vitest';
import { samePictures } from '@/lib/photo/samePicture';

test('one picture in two bins is told at both, one that stands by itself is not', () => {
	const found = samePictures([
		{ id: 'a', sha256: '1', bin: 'Concentrate 1', spread: 2 },
		{ id: 'b', sha256: '2', bin: 'Concentrate 1', spread: 3 },
		{ id: 'c', sha256: '1', bin: 'Middlings', spread: 1 },
		{ id: 'd', sha256: '1', bin: 'Tailings', spread: 4 },
	]);
	expect([...found.keys()]).toEqual(['a', 'c', 'd']);
	expect(found.get('a')).toMatchObject({
		code: 'same-picture',
		message: expect.stringMatching(
			/^The very same picture stands in Middlings, spread 1, and in Tailings, spread 4 too/,
		),
	});
});
