import { MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';

/**
 * Relative variance of each class's mass on one spread: the larger of the piece count's floor and the scatter between blocks.
 *
 * Counting n pieces of unequal mass gives sum(m^2) / sum(m)^2, the class's share of Gy's fundamental error for a liberated
 * mix. Blocks: squared residuals of the class's area against its mean share, over the total squared.
 *
 * @source Gy's fundamental sampling error in its two-part form, g (1-g) [(1-g) m1 + g m2] / M (derived); ratio estimator
 * variance: Cochran, Sampling Techniques, 3rd ed., 6.4 (from memory)
 */
export function samplingVarianceOf(
	reading: SpreadReading,
	material: Material,
): Readonly<Record<MaterialClass, number>> {
	const { blocks } = reading;
	const classes = MATERIAL_CLASSES.length;
	const mass = new Float64Array(blocks.length * classes);
	for (let block = 0; block < blocks.length; block++)
		for (let c = 0; c < classes; c++)
			mass[block * classes + c] = nominalMassG(blocks[block]!, MATERIAL_CLASSES[c]!, material);
	const totals = new Float64Array(classes);
	const ofBlock = new Float64Array(blocks.length);
	for (let k = 0; k < mass.length; k++) {
		totals[k % classes]! += mass[k]!;
		ofBlock[Math.floor(k / classes)]! += mass[k]!;
	}
	const all = totals.reduce((sum, grams) => sum + grams, 0);
	const filled = ofBlock.reduce((count, grams) => count + (grams > 0 ? 1 : 0), 0);
	return perClass((name, c) => {
		const total = totals[c]!;
		const pieces = reading.pieces[name];
		if (total <= 0 || pieces.count === 0) return 0;
		const floor = pieces.weightedMeanWidthAreaMm3 / (pieces.count * pieces.meanWidthAreaMm3);
		const share = total / all;
		const residual = residualOf(mass, ofBlock, c, share);
		const scatter = filled > 2 && share < 1 ? ((residual / total ** 2 / (1 - share)) * filled) / (filled - 1) : 0;
		return Math.min(2, Math.max(floor, scatter));
	});
}

/** Squared distances of a class's mass in each block from its mean share of the block, summed. */
function residualOf(mass: Float64Array, ofBlock: Float64Array, c: number, share: number): number {
	let sum = 0;
	for (let block = 0, k = c; block < ofBlock.length; block++, k += MATERIAL_CLASSES.length)
		sum += (mass[k]! - share * ofBlock[block]!) ** 2;
	return sum;
}

/** Mass of one class in a block at the best values of density and shape, grams. */
export function nominalMassG(block: SpreadReading['blocks'][number], name: MaterialClass, material: Material): number {
	const { densityKgPerM3, shape } = material.classes[name];
	const volume =
		shape.factor.value * block.widthAreaMm3[name] + (shape.sheetThicknessMm?.value ?? 0) * block.sheetAreaMm2[name];
	return volume * densityKgPerM3.value * 1e-6;
}
