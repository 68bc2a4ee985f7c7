import { expect, test } from 'vitest';
import { CLASS_CODE, UNJUDGED } from '@/lib/material/classes';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import type { Material } from '@/lib/material/material';
import type { TaughtClass, TaughtSpot } from '@/lib/material/taughtSpot';
import { teachMaterial } from '@/lib/material/teachMaterial';
import { learnBlank, learnSurface } from '@/lib/segmentation/photoLessons';
import { openTeachingView, type TeachingView } from '@/lib/segmentation/teachingView';
import { flatSurface } from '../particles/shapes';
import { BLUE_PLASTIC, COPPER, PAPER, PLAIN_LIGHT, photo, RED_PLASTIC, type Rgb } from './trays';

const MAT = { ...flatSurface(240, 160, 8), kind: 'mat' } as const;

/** Plastic in copper's own colour, a little darker. */
const COPPER_BROWN: Rgb = [0.34, 0.21, 0.15];

function brownAndCopper(shine = 0) {
	return photo(
		240,
		160,
		(x, y) => {
			if (Math.hypot(x - 60, y - 80) < 25) return COPPER;
			if (Math.hypot(x - 170, y - 80) < 30) return Math.hypot(x - 170, y - 80) < shine ? [2, 2, 2] : COPPER_BROWN;
			return PAPER;
		},
		0.01,
	);
}

function tapped(view: TeachingView, kind: TaughtClass, xPx: number, yPx: number, radiusPx = 6): TaughtSpot {
	const colours = view.readSpot({ xPx, yPx, radiusPx });
	return { id: `${kind} ${xPx} ${yPx}`, photo: 'one', class: kind, xPx, yPx, radiusPx, colours };
}

test('plastic of copper’s own brown is called copper until a tap says what it is', () => {
	const view = openTeachingView(brownAndCopper(), MAT, PLAIN_LIGHT);
	const at = (labels: Uint8Array, x: number, y: number) => labels[y * 240 + x];
	expect(at(view.relabel(DEFAULT_MATERIAL).labels, 170, 80)).toBe(CLASS_CODE.brightCopper);
	const spots = [
		tapped(view, 'insulation', 160, 80),
		tapped(view, 'insulation', 175, 90),
		tapped(view, 'brightCopper', 60, 80),
	];
	const taught = view.relabel(teachMaterial(DEFAULT_MATERIAL, 'Brown', spots).material).labels;
	expect(at(taught, 170, 80)).toBe(CLASS_CODE.insulation);
	expect(at(taught, 60, 80)).toBe(CLASS_CODE.brightCopper);
	expect(at(taught, 120, 20)).toBe(0);
	const undone = view.relabel(teachMaterial(DEFAULT_MATERIAL, 'Brown', spots.slice(2)).material).labels;
	expect(at(undone, 170, 80)).toBe(CLASS_CODE.brightCopper);
});

test('a quick look gives about the classes of a reading, and follows what is taught and taken back', () => {
	const view = openTeachingView(brownAndCopper(10), MAT, PLAIN_LIGHT);
	const spots = [
		tapped(view, 'insulation', 150, 80),
		tapped(view, 'insulation', 185, 95),
		tapped(view, 'brightCopper', 60, 80),
	];
	const taught = teachMaterial(DEFAULT_MATERIAL, 'Brown', spots).material;
	const near = { ...taught, farthestDistance: 0.5 };
	for (const material of [DEFAULT_MATERIAL, taught, near, DEFAULT_MATERIAL]) {
		const quick = view.quickLabels(material);
		const exact = view.relabel(material).labels;
		expect(quick.length).toBe(view.box.width * view.box.height);
		const apart = exact.filter((label, i) => label !== quick[i]).length / exact.length;
		// specks and glints are cleaned up in a reading alone, and there are few others
		expect(apart).toBeLessThan(0.05);
	}
	const labels = (material: Material) => Uint8Array.from(view.quickLabels(material));
	const at = (all: Uint8Array, x: number, y: number) => all[(y - view.box.rowOffset) * view.box.width + x];
	expect(at(labels(DEFAULT_MATERIAL), 150, 80)).toBe(CLASS_CODE.brightCopper);
	expect(at(labels(taught), 150, 80)).toBe(CLASS_CODE.insulation);
	expect(labels(near).filter((label) => label === UNJUDGED).length).toBeGreaterThan(
		labels(taught).filter((label) => label === UNJUDGED).length,
	);
	expect(labels(DEFAULT_MATERIAL)).toEqual(labels(DEFAULT_MATERIAL));
});

test('clipped pixels teach nothing', () => {
	const view = openTeachingView(brownAndCopper(10), MAT, PLAIN_LIGHT);
	expect(view.readSpot({ xPx: 170, yPx: 80, radiusPx: 5 })).toEqual([]);
	const rim = view.readSpot({ xPx: 170, yPx: 80, radiusPx: 20 });
	expect(rim.length).toBeGreaterThan(30);
	for (const [L] of rim) expect(L).toBeLessThan(70);
});

test('a spot off the photo has no colour, one on its rim has what is there', () => {
	const view = openTeachingView(brownAndCopper(), MAT, PLAIN_LIGHT);
	expect(view.readSpot({ xPx: 500, yPx: 80, radiusPx: 5 })).toEqual([]);
	expect(view.readSpot({ xPx: 239, yPx: 80, radiusPx: 4 }).length).toBeGreaterThan(10);
});

test('an empty tray teaches its colour, in light and in shade', () => {
	const wood: Rgb = [0.4, 0.26, 0.14];
	const empty = photo(240, 160, (x) => (x < 60 ? [0.2, 0.13, 0.07] : wood), 0.01);
	const spots = learnSurface(empty, flatSurface(240, 160, 8), PLAIN_LIGHT, 'tray photo');
	expect(spots.length).toBeGreaterThanOrEqual(1);
	const { material } = teachMaterial(DEFAULT_MATERIAL, 'Wooden tray', spots);
	expect(material.surfaceColours?.length).toBeGreaterThanOrEqual(1);
	const laid = photo(240, 160, (x, y) => (Math.hypot(x - 120, y - 80) < 25 ? BLUE_PLASTIC : wood), 0.01);
	const { labels } = openTeachingView(laid, flatSurface(240, 160, 8), PLAIN_LIGHT).relabel(material);
	expect(labels[80 * 240 + 120]).toBe(CLASS_CODE.insulation);
	expect(labels[20 * 240 + 20]).toBe(0);
});

test('a tray with pieces on it is not taken for empty', () => {
	expect(() => learnSurface(brownAndCopper(), MAT, PLAIN_LIGHT, 'tray photo')).toThrow(
		/does not show an empty surface/,
	);
});

test('clean insulation teaches its colours and how much of it was called copper', () => {
	const blank = photo(
		240,
		160,
		(x, y) => {
			if (Math.hypot(x - 60, y - 80) < 30) return RED_PLASTIC;
			return Math.hypot(x - 170, y - 80) < 30 ? COPPER_BROWN : PAPER;
		},
		0.01,
	);
	const { spots, calledCopperFraction } = learnBlank(blank, MAT, PLAIN_LIGHT, DEFAULT_MATERIAL, 'blank photo');
	expect(calledCopperFraction).toBeGreaterThan(0.3); // the brown half, less its rim
	expect(calledCopperFraction).toBeLessThan(0.6);
	const { material } = teachMaterial(DEFAULT_MATERIAL, 'Our insulation', spots);
	const after = learnBlank(blank, MAT, PLAIN_LIGHT, material, 'blank photo');
	expect(after.calledCopperFraction).toBeLessThan(0.02);
});

test('an empty mat is no photo of insulation', () => {
	const empty = photo(240, 160, () => PAPER, 0.01);
	expect(() => learnBlank(empty, MAT, PLAIN_LIGHT, DEFAULT_MATERIAL, 'blank photo')).toThrow(/No insulation/);
});
