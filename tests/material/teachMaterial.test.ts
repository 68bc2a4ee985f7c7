import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { TrayError } from '@/lib/errors/TrayError';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { type Material, materialSchema } from '@/lib/material/material';
import { robustPatch } from '@/lib/material/robustPatch';
import type { LabColour, TaughtClass, TaughtSpot } from '@/lib/material/taughtSpot';
import { teachMaterial } from '@/lib/material/teachMaterial';
import { seededRandom } from '@/lib/quantity/seededRandom';

let drawn = 0;

/** Forty colours about a centre, as a tap on a piece gives them. */
function cloud([L, a, b]: LabColour, sd = 2): LabColour[] {
	const random = seededRandom(++drawn, 'cloud');
	return Array.from({ length: 40 }, () => [
		L + 2 * sd * random.normal(),
		a + sd * random.normal(),
		b + sd * random.normal(),
	]);
}

function spot(kind: TaughtClass, centre: LabColour, at = 50 * ++drawn, photo = 'one'): TaughtSpot {
	return { id: `s${drawn}-${at}`, photo, class: kind, xPx: at, yPx: 10, radiusPx: 6, colours: cloud(centre) };
}

const RED: LabColour = [36, 50, 30];
const BLACK: LabColour = [12, 0, 0];
const GREY: LabColour = [60, 0, 0];
const COPPER: LabColour = [55, 18, 24];

const insulationOf = (material: Material) =>
	material.classes.insulation.colours.filter(({ name }) => name.startsWith('taught'));

test('red, black and grey insulation make three colours, several spots of one colour make one', () => {
	const spots = [RED, BLACK, GREY, RED, RED, BLACK].map((colour) => spot('insulation', colour));
	const { material, contradictions } = teachMaterial(DEFAULT_MATERIAL, 'Shed 2', spots);
	expect(
		insulationOf(material)
			.map(({ centre }) => Math.round(centre.L / 10) * 10)
			.sort(),
	).toEqual([10, 40, 60]);
	expect(contradictions).toEqual([]);
	expect(materialSchema.parse(JSON.parse(JSON.stringify(material)))).toEqual(material);
});

test('shares of a class sum to one, and the base colours give way as spots come in', () => {
	const taughtShare = (count: number) => {
		const spots = Array.from({ length: count }, () => spot('brightCopper', COPPER));
		const { colours } = teachMaterial(DEFAULT_MATERIAL, 'Shed 2', spots).material.classes.brightCopper;
		expect(colours.reduce((sum, { share }) => sum + (share ?? 0), 0)).toBeCloseTo(1, 9);
		return colours.filter(({ name }) => name.startsWith('taught')).reduce((sum, { share }) => sum + (share ?? 0), 0);
	};
	expect(taughtShare(1)).toBeCloseTo(1 / 4, 9);
	expect(taughtShare(9)).toBeCloseTo(9 / 12, 9);
});

test('undoing all spots gives back the colours there were', () => {
	const once = teachMaterial(DEFAULT_MATERIAL, 'Shed 2', [spot('insulation', RED), spot('background', GREY)]).material;
	expect(once.surfaceColours).toHaveLength(1);
	const back = teachMaterial(DEFAULT_MATERIAL, 'Shed 2', []).material;
	expect(back.classes).toEqual(DEFAULT_MATERIAL.classes);
	expect(back.spots).toBeUndefined();
	expect(back.surfaceColours).toBeUndefined();
});

test('spots that contradict each other are named by number and class', () => {
	const alike = [spot('insulation', GREY), spot('brightCopper', COPPER), spot('aluminium', GREY)];
	const colour = teachMaterial(DEFAULT_MATERIAL, 'Shed 2', alike);
	expect(colour.contradictions).toMatchObject([{ kind: 'same-colour', one: alike[0]?.id, other: alike[2]?.id }]);
	expect(colour.contradictions[0]?.message).toMatch(
		/^Spot 1 \(insulation\) and spot 3 \(aluminium\) have the same colour/,
	);
	expect(insulationOf(colour.material)).toHaveLength(1);

	const place = [spot('insulation', RED, 100), spot('brightCopper', COPPER, 103), spot('insulation', BLACK, 300)];
	const both = teachMaterial(DEFAULT_MATERIAL, 'Shed 2', place);
	expect(both.contradictions).toMatchObject([{ kind: 'same-place' }]);
	expect(insulationOf(both.material)).toHaveLength(1); // the black one alone
	expect(both.material.spots).toHaveLength(3); // kept, so that one can be undone
});

test('the same place on two photos is no contradiction', () => {
	const spots = [spot('insulation', RED, 100, 'one'), spot('brightCopper', COPPER, 100, 'two')];
	expect(teachMaterial(DEFAULT_MATERIAL, 'Shed 2', spots).contradictions).toEqual([]);
});

test.each([
	['', /needs a name/],
	['mixed cable waste', /built-in/],
])('a material cannot be called "%s"', (name, says) => {
	expect(() => teachMaterial(DEFAULT_MATERIAL, name, [])).toThrow(says as RegExp);
	expect(() => teachMaterial(DEFAULT_MATERIAL, name, [])).toThrow(
		expect.objectContaining<Partial<TrayError>>({ code: 'material-unreadable' }),
	);
});

test('a material with a class without colours, or with a colour that is no ellipsoid, says so', () => {
	const { insulation } = DEFAULT_MATERIAL.classes;
	const without = (colours: unknown) =>
		materialSchema.safeParse({
			...DEFAULT_MATERIAL,
			classes: { ...DEFAULT_MATERIAL.classes, insulation: { ...insulation, colours } },
		}).error?.issues[0];
	expect(without([])).toMatchObject({
		path: ['classes', 'insulation', 'colours'],
		message: 'a class needs at least one colour',
	});
	expect(without([{ name: 'flat', centre: { L: 1, a: 1, b: 1 }, covariance: [1, 2, 0, 1, 0, 1] }])?.message).toMatch(
		/not that of an ellipsoid/,
	);
});

test('a material with a class of another name is refused by that name, and not read without it', () => {
	const { insulation } = DEFAULT_MATERIAL.classes;
	const classes = { ...DEFAULT_MATERIAL.classes, brass: insulation };
	expect(materialSchema.safeParse({ ...DEFAULT_MATERIAL, classes }).error?.issues[0]).toMatchObject({
		path: ['classes'],
		message: 'there is no class “brass”; the classes are brightCopper, tinnedCopper, aluminium, insulation, other',
	});
});

test('a fifth of glints in a spot hardly moves its ellipsoid, whatever the colour', () => {
	fc.assert(
		fc.property(
			fc.integer({ min: 10, max: 80 }),
			fc.integer({ min: -40, max: 40 }),
			fc.integer({ min: -40, max: 40 }),
			(L, a, b) => {
				const clean = cloud([L, a, b]);
				const glints = Array.from({ length: 8 }, (): LabColour => [100, 0, 0]);
				const { centre } = robustPatch('spot', [...clean, ...glints]);
				const alone = robustPatch('spot', clean).centre;
				// far glints are left out; near ones cannot move the centre by more than their share of their distance
				const distance = Math.hypot(100 - L, a, b);
				expect(Math.hypot(centre.L - alone.L, centre.a - alone.a, centre.b - alone.b)).toBeLessThan(
					Math.min(4, 0.2 * distance + 1),
				);
			},
		),
	);
});

test('the ellipsoid of a normal cloud has the cloud’s own scatter, and the least that any colour has', () => {
	const random = seededRandom(5, 'normal');
	const colours = Array.from(
		{ length: 4000 },
		(): LabColour => [50 + 8 * random.normal(), 10 + 5 * random.normal(), 4 * random.normal()],
	);
	const { covariance } = robustPatch('cloud', colours);
	// 4000 samples: variances are known to 2.2 % (one sigma); 25 and 4 are the least scatter added
	expect(covariance[0] / (64 + 25)).toBeCloseTo(1, 1);
	expect(covariance[3] / (25 + 4)).toBeCloseTo(1, 1);
	expect(covariance[5] / (16 + 4)).toBeCloseTo(1, 1);
});

test('one spot of copper that looks like plastic is asked about, three that do are believed', () => {
	const blue: LabColour = [35, 5, -40];
	const copper = [COPPER, COPPER, COPPER].map((colour) => spot('brightCopper', colour));
	const told = (more: readonly TaughtSpot[]) =>
		teachMaterial(DEFAULT_MATERIAL, 'Slip', [...copper, ...more]).warnings.join(' ');
	expect(told([spot('brightCopper', blue)])).toContain(
		'Spot 4 (copper, bright or dull) looks like no other spot of copper, bright or dull.',
	);
	expect(told([])).not.toContain('looks like no other');
	expect(told([blue, blue, blue].map((colour) => spot('brightCopper', colour)))).not.toContain('looks like no other');
	// insulation comes in any colour
	expect(told([RED, BLACK, blue].map((colour) => spot('insulation', colour)))).not.toContain('looks like no other');
});
