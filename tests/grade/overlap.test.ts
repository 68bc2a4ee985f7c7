import { expect, test } from 'vitest';
import { overlapByClass } from '@/lib/grade/overlap';
import { CLASS_CODE } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { hiddenShareAt } from '@/lib/particles/judgeSpread';
import { seededRandom } from '@/lib/quantity/seededRandom';
import reference from '../reference/geometry.json';
import { madeReading } from './madeReading';

const FIELD_MM2 = 17_000;
const covering = (cover: number, widthMm: number) => ({ count: 500, areaMm2: (cover * FIELD_MM2) / 500, widthMm });

test('of one class alone as much is hidden as the Boolean model says, and all of it by its own pieces', () => {
	const { inputs, expected } = reference['c.dead_leaves'];
	for (const [i, layers] of inputs.x.entries()) {
		const cover = 1 - Math.exp(-layers);
		const { level, tilted, own } = overlapByClass(
			madeReading({ insulation: covering(cover, 2) }),
			DEFAULT_MATERIAL,
		).insulation;
		expect(Math.exp(-level)).toBeCloseTo(expected[i]!, 9);
		expect(Math.exp(-level)).toBeCloseTo(1 - hiddenShareAt(cover), 9);
		expect(tilted).toBeCloseTo(0, 12);
		expect(own).toBeCloseTo(level, 12);
	}
});

test('what is hidden in a pile of discs drawn one on another is within the range from none to all of it', () => {
	// on a torus, later ones on top
	const side = 400;
	const seen = new Uint8Array(side * side);
	const random = seededRandom(5, 'dropped discs');
	const laid = { brightCopper: 0, insulation: 0 };
	for (let k = 0; k < 700; k++) {
		const name = k % 5 === 0 ? 'insulation' : 'brightCopper';
		const radius = name === 'insulation' ? 12 : 5;
		const [x, y] = [random.uniform() * side, random.uniform() * side];
		for (let row = Math.ceil(y - radius); row <= y + radius; row++) {
			for (let column = Math.ceil(x - radius); column <= x + radius; column++) {
				if ((column - x) ** 2 + (row - y) ** 2 > radius ** 2) continue;
				laid[name]++;
				seen[((row + side) % side) * side + ((column + side) % side)] = CLASS_CODE[name];
			}
		}
	}
	const areaOf = (name: keyof typeof laid) => seen.filter((code) => code === CLASS_CODE[name]).length;
	const pile = (name: keyof typeof laid) => covering(areaOf(name) / side ** 2, 5);
	const taken = overlapByClass(
		madeReading({ brightCopper: pile('brightCopper'), insulation: pile('insulation') }),
		DEFAULT_MATERIAL,
	);
	for (const name of ['brightCopper', 'insulation'] as const) {
		const truth = Math.log(laid[name] / areaOf(name));
		// one draw of 700 discs; the level holds the loss of width as well, at most a third more
		expect(truth).toBeGreaterThan(0.7 * taken[name].level);
		expect(truth).toBeLessThan(1.15 * taken[name].level);
	}
});

test('metal and all else hide of each other what their borders allow, and of few pieces these say little', () => {
	const level = (lumps: number, bordersOverChance?: number) => {
		const insulation = { count: lumps, areaMm2: 5, widthMm: 2 };
		const reading = madeReading({ brightCopper: covering(0.3, 0.4), insulation });
		return overlapByClass({ ...reading, bordersOverChance }, DEFAULT_MATERIAL).insulation.level;
	};
	expect(level(300, 0)).toBeLessThan(0.25 * level(300));
	expect(level(300, 0.5) / level(300)).toBeCloseTo(0.56, 1);
	for (const told of [1, 3]) expect(level(300, told)).toBeCloseTo(level(300), 12);
	expect(level(1, 0)).toBeGreaterThan(0.4 * level(1));
});
