import { COMPONENTS, type Graded } from '../material/classes';
import { seededRandom } from '../quantity/seededRandom';

/**
 * Share of a component in draws where the components below detection hold anything from nothing up to what was drawn of them, evenly, each
 * for itself: what they don't hold is not there, so the others' shares are larger.
 *
 * Draws of what is below detection lie above nought, since masses can't be less than nothing, so the share of all else is drawn too low
 * while the range of what is missing begins at nought. Its upper limit is that of these draws, its best value and lower limit are not.
 *
 * @param shares - draws of all components; those that have none count as nothing
 * @param missing - what is below detection; free copper is part of the copper
 */
export function besideMissing(
	share: Float64Array,
	shares: Readonly<Partial<Record<Graded, Float64Array>>>,
	missing: (component: Graded) => boolean,
	seed: number,
): Float64Array {
	return partsOf(keptBeside(share.length, shares, missing, seed), share);
}

/** What is left of the whole in each draw without what the missing components don't hold: the same beside every share. */
export function keptBeside(
	draws: number,
	shares: Readonly<Partial<Record<Graded, Float64Array>>>,
	missing: (component: Graded) => boolean,
	seed: number,
): Float64Array {
	const kept = new Float64Array(draws).fill(1);
	for (const component of COMPONENTS) {
		const part = missing(component) ? shares[component] : undefined;
		if (part === undefined) continue;
		const { uniform } = seededRandom(seed, 'less than drawn', component);
		for (let i = 0; i < kept.length; i++) kept[i]! -= part[i]! * uniform();
	}
	return kept;
}

/** A share's draws as parts of what is kept. */
export function partsOf(kept: Float64Array, share: Float64Array): Float64Array {
	const parts = new Float64Array(share.length);
	for (let i = 0; i < parts.length; i++) parts[i] = share[i]! / Math.max(kept[i]!, 1e-9);
	return parts;
}
