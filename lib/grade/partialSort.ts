import { MATERIAL_CLASSES, type MaterialClass } from '../material/classes';
import type { SpreadReading } from '../particles/spreadReading';
import type { CheckOf } from './checkEntry';

/** A sort that leaves out piles which its grade would need: it tells mass per area, not a grade. */
export interface PartialSort {
	/** The spread in a sentence: `spread 2 of Middlings`. */
	readonly label: string;
	readonly check: CheckOf<'handSort'>;
	readonly unweighed: readonly MaterialClass[];
}

/** What every grade is a ratio of: one of these piles left out is never nothing. */
const ALWAYS_NEEDED: readonly MaterialClass[] = ['brightCopper', 'insulation'];

/**
 * Classes whose pile was not weighed and may hold something: a share of what was weighed is then no share of the spread.
 *
 * Of tinned copper, aluminium and other a pile that was left out counts as nothing where the picture shows no more of the class than
 * false calls could make.
 *
 * @param falseCallsMm2 - see `falseCallsOf`
 * @returns empty where the piles are the whole spread
 */
export function unweighedPiles(
	{ piles }: CheckOf<'handSort'>,
	{ blocks }: SpreadReading,
	falseCallsMm2: Readonly<Record<MaterialClass, number>>,
): readonly MaterialClass[] {
	const seenMm2 = (name: MaterialClass) => blocks.reduce((sum, block) => sum + block.areaMm2[name], 0);
	return MATERIAL_CLASSES.filter(
		(name) => piles[name] === undefined && (ALWAYS_NEEDED.includes(name) || seenMm2(name) > falseCallsMm2[name]),
	);
}
