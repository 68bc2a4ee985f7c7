import { COMPONENTS, GRADED, type Graded } from '../material/classes';
import { seededRandom } from '../quantity/seededRandom';

/**
 * The part of a component that is there at least, draw by draw, 0 to 1: where it is below detection anything from nothing up to what was drawn
 * of it, where few pieces of it were seen what was seen. What is not listed is all there.
 */
export type LeastParts = Readonly<Partial<Record<Graded, Float64Array>>>;

/**
 * Parts of components below detection: anything from nothing up to what was drawn, evenly, each for itself; free copper is part of the copper.
 *
 * @param purpose - names whose they are, so that those of two products are independent
 */
export function partsOfMissing(
	draws: number,
	isMissing: (component: Graded) => boolean,
	seed: number,
	...purpose: readonly string[]
): LeastParts {
	return Object.fromEntries(
		GRADED.filter(isMissing).map((component) => {
			const order = component === 'freeCopper' ? 'copper' : component;
			return [
				component,
				Float64Array.from({ length: draws }, seededRandom(seed, 'less than drawn', order, ...purpose).uniform),
			];
		}),
	);
}

/** Share of the whole that is left in each draw without what need not be there: the same beside every share. */
export function leftOfWhole(shares: Readonly<Partial<Record<Graded, Float64Array>>>, parts: LeastParts): Float64Array {
	const left = new Float64Array(Object.values(parts)[0]?.length ?? 0).fill(1);
	for (const component of COMPONENTS) {
		const [share, part] = [shares[component], parts[component]];
		if (share === undefined || part === undefined) continue;
		for (let i = 0; i < left.length; i++) left[i]! -= share[i]! * (1 - part[i]!);
	}
	return left.map((rest) => Math.max(rest, 1e-9));
}

/**
 * A share's draws where of every component there is only its part: what need not be there is not, so the others' shares are larger.
 *
 * Draws of what is below detection lie above nought, since masses can't be less than nothing, and draws of what few pieces were seen of hold
 * pieces that nobody saw (half a piece more or less, Jeffreys). So they lie high, while a range that begins at nothing, or at what was seen, does
 * not: its lower limit, and the upper one of all else, are those of these draws. Upper limits of a Poisson count come with half a piece
 * more, lower ones without.
 *
 * @param left - `leftOfWhole`
 * @source limits of a count, each from its own side: Garwood, Biometrika 28 (1936) 437 (from memory)
 */
export function leastShare(share: Float64Array, part: Float64Array | undefined, left: Float64Array): Float64Array {
	const least = new Float64Array(share.length);
	for (let i = 0; i < least.length; i++) least[i] = share[i]! / left[i]!;
	if (part !== undefined) for (let i = 0; i < least.length; i++) least[i]! *= part[i]!;
	return least;
}
