import { perClass } from '../material/classes';
import type { Material } from '../material/material';
import { positiveDraws } from '../quantity/draws';
import { meanOf, standardDeviationOf } from '../quantity/moments';
import type { Quantity } from '../quantity/quantity';
import { seededRandom } from '../quantity/seededRandom';
import { type CheckOf, weighingU } from './checkEntry';
import type { GradeDraws } from './gradeDraws';
import type { SharedErrors } from './sharedErrors';

/**
 * Density of air-free water, kg/m3.
 *
 * @param celsius - 0 to 40
 * @source Tanaka et al., Metrologia 38 (2001) 301
 */
export function waterDensityKgPerM3(celsius: number): number {
	const [a1, a2, a3, a4, a5] = [-3.983035, 301.797, 522528.9, 69.34881, 999.97495];
	return a5 * (1 - ((celsius + a1) ** 2 * (celsius + a2)) / (a3 * (celsius + a4)));
}

/**
 * Mass share of the heavy one of two parts from the density of the mixture; densities all in one unit.
 *
 * @param taken - volume over mass of the mixture that other parts take, in that unit turned over
 * @param left - mass share that those parts leave to the two
 * @returns outside 0 to `left` where no mixture has that density
 * @source volumes add: 1/rho = w/rho1 + (1-w)/rho2 (derived)
 */
export function heavyShareOf(density: number, heavy: number, light: number, taken = 0, left = 1): number {
	return (1 / density - taken - left / light) / (1 / heavy - 1 / light);
}

/** Air that stays between pieces after stirring with a wetting agent: up to this share of the sample's volume (our choice). */
const TRAPPED_AIR = 0.01;

/**
 * All copper of a sample, locked or free, from its density: no photo's areas or widths come in.
 *
 * Aluminium and other parts break the two-part formula; their shares are taken from the photos with their uncertainty, and what
 * is left is shared between copper and insulation so that the volumes add up. Uncertain are the weights, the volume, trapped
 * air (none to one hundredth of the volume) and the densities; these are alike for all displacements and photos.
 *
 * Limit: a few hundredths on the plastic's density are percentage points in lean waste; the uncertainty says so.
 *
 * @returns the share, the sample's density, and how many standard deviations that lies above copper's, which no mixture can
 * @param densities - draws, as many as the photo's
 * @param photo - draws from the photos, for the aluminium and the other part; nothing of either where absent
 */
export function copperByDisplacement(
	check: CheckOf<'displacement'>,
	densities: Densities,
	seed: number,
	photo: GradeDraws | undefined,
): Quantity & { readonly densityKgPerM3: number; readonly denserBy: number; readonly draws: Float64Array } {
	const random = seededRandom(seed, 'displacement', JSON.stringify(check));
	const { brightCopper, aluminium, insulation, other } = densities;
	const count = brightCopper.length;
	const found = new Float64Array(count);
	const excess = new Float64Array(count);
	const draws = Float64Array.from({ length: count }, (_, i) => {
		const massG = check.dry.massG + weighingU(check.dry) * random.normal();
		const air = 1 - TRAPPED_AIR * random.uniform();
		const density = (1000 * massG) / (volumeMl(check, massG, random.normal()) * air);
		found[i] = density;
		const [al, rest] = [photo?.aluminium[i] ?? 0, photo?.other[i] ?? 0];
		const [light, heavy] = [Math.max(300, insulation[i]!), brightCopper[i]!];
		excess[i] = density - heavy;
		const taken = al / aluminium[i]! + rest / Math.max(2000, other[i]!);
		return heavyShareOf(density, heavy, light, taken, 1 - al - rest);
	});
	const denserBy = meanOf(excess) / standardDeviationOf(excess);
	return { value: meanOf(draws), u: standardDeviationOf(draws), densityKgPerM3: meanOf(found), denserBy, draws };
}

/** Draws of each class's density, kg/m3. */
export type Densities = SharedErrors['densityKgPerM3'];

/** Densities for what no photo stands beside. */
export function densityDraws({ classes }: Material, count: number, seed: number): Densities {
	return perClass((name) => positiveDraws(classes[name].densityKgPerM3, count, seededRandom(seed, 'density', name)));
}

/** Volume of the sample, ml: read from the jug, or from the buoyancy. */
function volumeMl(check: CheckOf<'displacement'>, massG: number, normal: number): number {
	if (check.displacedMl !== undefined) {
		// a jug is read twice, before and after
		const step = check.stepMl ?? 1;
		return Math.max(0.01, check.displacedMl + (step / Math.sqrt(6)) * normal);
	}
	const suspended = check.suspended ?? { massG: 0, stepG: 0 };
	const buoyancyG = massG - suspended.massG + weighingU(suspended) * normal;
	return Math.max(0.01, (1000 * buoyancyG) / waterDensityKgPerM3(check.waterC));
}
