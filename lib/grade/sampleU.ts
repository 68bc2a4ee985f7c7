import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import { UNSEEN_PIECE } from './classTotals';
import { spreadSamplingOf } from './samplingPlan';

/**
 * Standard deviation of the copper's share that counting pieces leaves in a sample taken from a well mixed bin.
 *
 * By the pieces of the product's spreads where there are any: variance goes with one over the mass. Else by pieces as they are like where
 * none was seen.
 *
 * Limit: pieces that hold a core are counted as pieces without.
 *
 * @param massG - of the sample, dry, above 0
 * @param share - its copper, drawn into 0 to 1
 * @source Gy's fundamental error, see `spreadSamplingOf`; of two parts g (1-g) [(1-g) m1 + g m2] / M (derived)
 */
export function sampleUOf(
	massG: number,
	share: number,
	spreads: readonly (readonly SpreadReading[])[],
	material: Material,
): number {
	if (spreads.some((photos) => photos.length > 0)) {
		const { fundamentalU, spreadMassG } = spreadSamplingOf(spreads, material);
		if (spreadMassG > 0) return fundamentalU * Math.sqrt(spreadMassG / massG);
	}
	const copper = Math.min(1, Math.max(0, share));
	const [m1, m2] = [pieceG('brightCopper', material), pieceG('insulation', material)];
	return Math.sqrt((copper * (1 - copper) * ((1 - copper) * m1 + copper * m2)) / massG);
}

function pieceG(name: 'brightCopper' | 'insulation', { classes }: Material): number {
	const { widthMm, areaMm2 } = UNSEEN_PIECE[name];
	return classes[name].densityKgPerM3.value * classes[name].shape.factor.value * widthMm * areaMm2 * 1e-6;
}
