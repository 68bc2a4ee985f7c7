import { GRADED, type Graded, MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import { perName } from '../quantity/perName';
import { checkedLockedCopper, defaultLockedCopper } from './lockedCopper';
import type { SharedErrors } from './sharedErrors';

/** Draws of mass fractions in the dry product; copper, aluminium, insulation and other sum to one in every draw. */
export type GradeDraws = Readonly<Record<Graded, Float64Array>>;

/**
 * Mass fractions of the graded components from masses per class.
 *
 * The tin of tinned wire, and whatever else a copper class holds, counts as other; copper that pieces of other classes hold, brass for
 * example, as the material says, counts as copper. Locked copper adds to copper and to the whole.
 *
 * @param massG - draws of mass per class, any common unit
 * @param locked - add the copper locked inside insulation; without it copper equals free copper
 */
export function gradeDrawsOf(
	massG: Readonly<Record<MaterialClass, Float64Array>>,
	shared: SharedErrors,
	locked: 'default' | 'checked' | 'none',
): GradeDraws {
	const draws = perName(GRADED, () => new Float64Array(shared.draws));
	for (let from = 0; from < shared.draws; from += DRAWS_AT_ONCE)
		shareOut(massG, shared, locked, draws, from, Math.min(shared.draws, from + DRAWS_AT_ONCE));
	return draws;
}

/** Draws gone over in one go: a function entered often is compiled once and for all. */
const DRAWS_AT_ONCE = 500;

function shareOut(
	massG: Readonly<Record<MaterialClass, Float64Array>>,
	shared: SharedErrors,
	locked: 'default' | 'checked' | 'none',
	draws: GradeDraws,
	from: number,
	to: number,
): void {
	const { copperFraction } = shared;
	for (let i = from; i < to; i++) {
		const alloyed = massG.other[i]! * copperFraction.other[i]!;
		const inAluminium = massG.aluminium[i]! * copperFraction.aluminium[i]!;
		const inInsulation = massG.insulation[i]! * copperFraction.insulation[i]!;
		const bright = massG.brightCopper[i]! * copperFraction.brightCopper[i]!;
		const tinned = massG.tinnedCopper[i]! * copperFraction.tinnedCopper[i]!;
		const freeCopper = alloyed + inAluminium + inInsulation + bright + tinned;
		const other = massG.other[i]! - alloyed + (massG.brightCopper[i]! - bright) + (massG.tinnedCopper[i]! - tinned);
		const aluminium = massG.aluminium[i]! - inAluminium;
		const insulation = massG.insulation[i]! - inInsulation;
		const factor = shared.locked[i]!;
		const lockedCopper =
			locked === 'none'
				? 0
				: locked === 'checked'
					? checkedLockedCopper(insulation, factor)
					: defaultLockedCopper(freeCopper, insulation, factor);
		const total = freeCopper + lockedCopper + aluminium + insulation + other;
		if (total <= 0) continue;
		draws.copper[i] = (freeCopper + lockedCopper) / total;
		draws.freeCopper[i] = freeCopper / total;
		draws.aluminium[i] = aluminium / total;
		draws.insulation[i] = insulation / total;
		draws.other[i] = other / total;
	}
}

/** Shares of the classes themselves, locked copper not counted; they sum to one in every draw. */
export function classShareDraws(
	amount: Readonly<Record<MaterialClass, Float64Array>>,
	draws: number,
): Readonly<Record<MaterialClass, Float64Array>> {
	const shares = perClass(() => new Float64Array(draws));
	// arrays by place, not by name: a loop over all draws
	const [from, into] = [MATERIAL_CLASSES.map((name) => amount[name]), MATERIAL_CLASSES.map((name) => shares[name])];
	for (let i = 0; i < draws; i++) {
		let total = 0;
		for (let c = 0; c < from.length; c++) total += from[c]![i]!;
		if (total > 0) for (let c = 0; c < from.length; c++) into[c]![i] = from[c]![i]! / total;
	}
	return shares;
}
