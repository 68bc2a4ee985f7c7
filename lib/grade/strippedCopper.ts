import type { Material } from '../material/material';
import type { Quantity } from '../quantity/quantity';
import { type Check, checksOfKind, weighingU } from './checkEntry';
import { combineEstimates } from './combineEstimates';

/** Copper share of a piece that still holds its core. @source core 1 mm in 2 mm of insulation, densities 8.96 and 1.40: geometry */
const CORED_PIECE = 0.68;

/**
 * Locked copper as a share of insulation pieces, cores included, from picks that were weighed, stripped and weighed again.
 *
 * Few pieces hold a core, so the number of picks rules the uncertainty: the binomial limit for pieces that are copper or not.
 * Half a cored piece is added, so that finding none is not taken for there being none.
 *
 * @returns undefined without such a check
 * @source binomial variance as an upper limit for shares between 0 and 1 (derived)
 */
export function strippedCopperOf(checks: readonly Check[]): Quantity | undefined {
	const strips = checksOfKind(checks, 'strip');
	if (strips.length === 0) return undefined;
	const picks = strips.reduce((sum, strip) => sum + strip.picks, 0);
	const before = strips.reduce((sum, strip) => sum + strip.before.massG, 0);
	const copper = strips.reduce((sum, strip) => sum + strip.copper.massG, 0);
	const piece = before / picks;
	const value = (copper + 0.5 * CORED_PIECE * piece) / (before + piece);
	// where no copper was found none was weighed
	const copperU = (strip: (typeof strips)[number]) => (strip.copper.massG > 0 ? weighingU(strip.copper) : 0);
	const weighing = Math.hypot(...strips.flatMap((strip) => [copperU(strip), value * weighingU(strip.before)]));
	return { value, u: Math.hypot(Math.sqrt((value * (1 - value)) / picks), weighing / before) };
}

/** Scatter of the locked share from product to product and run to run, relative to it, where fewer than three tell. Our choice, no source. */
const USUAL_SCATTER = 0.5;

/**
 * The material with its locked copper as checks found it; the material itself without such a check.
 *
 * What other bins of the material showed counts with the scatter between them added; own checks count beside it with theirs.
 *
 * @param checks - the product's own
 * @param others - strips of other bins of the same kind, in this run and in others of the same material, each by itself: a piece with a
 *   core is heavier than one without, and the table parts the two, so bins of another kind tell nothing
 */
export function withStrippedCopper(
	material: Material,
	checks: readonly Check[],
	others: readonly Check[] = [],
): Material {
	const own = strippedCopperOf(checks);
	const taught = taughtShare(others.flatMap((check) => strippedCopperOf([check]) ?? []));
	const known = [own, taught].filter((one) => one !== undefined);
	if (known.length === 0) return material;
	const { value, u } = combineEstimates(known);
	return { ...material, lockedCopperPerInsulation: { value, u } };
}

function taughtShare(found: readonly Quantity[]): Quantity | undefined {
	if (found.length === 0) return undefined;
	const { value, u, excessU } = combineEstimates(found);
	const scatter = found.length < 3 ? USUAL_SCATTER * value : excessU;
	return { value, u: Math.hypot(u, scatter) };
}
