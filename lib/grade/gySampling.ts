/** A lot or a bin of pieces as Gy's formula sees it. */
export interface GyMaterial {
	/** Mass share of the wanted part, 0 to 1, both ends left out. */
	readonly grade: number;
	/** Size that 95 % of the mass passes, mm. */
	readonly topSizeMm: number;
	readonly densityKgPerM3: { readonly wanted: number; readonly rest: number };
	/** 0.5 for rounded pieces, 0.2 for flakes and needles. */
	readonly shape?: number;
	/** 0.25 for a wide range of sizes, 0.5 to 0.75 for a narrow one, 1 for one size. */
	readonly sizeRange?: number;
	/** 1 where wanted and rest are apart, as in chops; sqrt(liberation size / top size) where they are locked together. */
	readonly liberation?: number;
}

/**
 * Grams to take so that the grade's relative standard error is at most `relativeU`: the fundamental error, which no care avoids.
 *
 * Limit: assumes a perfectly mixed lot, far larger than the sample; segregation and grabbing come on top.
 *
 * @source Gy as taught in Wills, Mineral Processing Technology: s^2 = f g l c d^3 / M, grams and centimetres
 */
export function gySampleMassG(material: GyMaterial, relativeU: number): number {
	return gyConstantG(material) / relativeU ** 2;
}

/** Sampling constant times top size cubed, grams. */
function gyConstantG(material: GyMaterial): number {
	const { grade, topSizeMm, densityKgPerM3, shape = 0.5, sizeRange = 0.25, liberation = 1 } = material;
	if (!(grade > 0 && grade < 1)) throw new RangeError(`a grade between 0 and 1 is needed, got ${grade}`);
	const { wanted, rest } = densityKgPerM3;
	const composition = ((1 - grade) / grade) * ((1 - grade) * wanted + grade * rest) * 1e-3;
	return shape * sizeRange * liberation * composition * (topSizeMm / 10) ** 3;
}
