import { expect, test } from 'vitest';
import { perClass } from '@/lib/material/classes';
import { samePictures } from '@/lib/particles/samePicture';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { madeReading } from '../grade/madeReading';

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
			/^The very same picture stands in Concentrate 1, spread 2, and in Middlings, spread 1, and in Tailings, spread 4, so/,
		),
	});
});

/** A field heaped towards its middle, with a mix of its own in each block, as its areas are read with some blur. */
function field(scoop: number, shot: number, copperShare = 0.3) {
	const [lie, blur] = [seededRandom(scoop, 'lie'), seededRandom(shot, 'blur')];
	const [block] = madeReading({}).blocks;
	const blocks = Array.from({ length: 60 }, (_, k) => {
		const covered = 100 * Math.exp(-(((k - 30) / 25) ** 2));
		const share = copperShare * Math.exp(0.5 * lie.normal()) * Math.exp(0.1 * blur.normal());
		return {
			...block!,
			areaMm2: { ...perClass(() => 0), brightCopper: share * covered, insulation: (1 - share) * covered },
		};
	});
	return { id: `${scoop} ${shot}`, sha256: `${scoop} ${shot}`, bin: 'Middlings', spread: shot, reading: { blocks } };
}

test('another shot of one spread is known by where its copper lies; other scoops are not, however alike they are heaped', () => {
	const scoops = Array.from({ length: 40 }, (_, scoop) => field(scoop, scoop));
	expect(samePictures(scoops).size).toBe(0);
	const found = samePictures([...scoops, field(7, 99)]);
	expect([...found.keys()]).toEqual(['7 7', '7 99']);
	// the two of a pair are told alike, so that lists tell it once
	expect(new Set([...found.values()].map(({ message }) => message))).toEqual(
		new Set([
			'The pieces lie alike in spreads 7 and 99, as if these were one spread. If they are, its pieces count as those of more scoops than were taken. Keep it in one of them only.',
		]),
	);
});

test('a strand alone in the same block, or a field of one kind, tells nothing', () => {
	const lone = (scoop: number) => {
		const photo = field(scoop, scoop, 0);
		const blocks = photo.reading.blocks.map((block, k) =>
			k === 20 ? { ...block, areaMm2: { ...block.areaMm2, brightCopper: 1 } } : block,
		);
		return { ...photo, reading: { blocks } };
	};
	expect(samePictures([lone(1), lone(2)]).size).toBe(0);
	expect(samePictures([field(1, 1, 0), field(2, 2, 0)]).size).toBe(0);
});
