import { MATERIAL_CLASSES, type MaterialClass } from '../material/classes';
import type { SpreadReading } from '../particles/spreadReading';

/** Sums of one class over the whole field. */
export interface ClassTotals {
	readonly areaMm2: number;
	readonly widthAreaMm3: number;
	readonly sheetAreaMm2: number;
}

/** Those sums of one class. */
export function totalsOf(reading: SpreadReading, name: MaterialClass): ClassTotals {
	let [areaMm2, widthAreaMm3, sheetAreaMm2] = [0, 0, 0];
	for (const block of reading.blocks) {
		areaMm2 += block.areaMm2[name];
		widthAreaMm3 += block.widthAreaMm3[name];
		sheetAreaMm2 += block.sheetAreaMm2[name];
	}
	return { areaMm2, widthAreaMm3, sheetAreaMm2 };
}

/** What a class's thickness is made of: its mean width and sheet share. */
export function thicknessPartsOf(totals: Readonly<Record<MaterialClass, ClassTotals>>, name: MaterialClass) {
	const { areaMm2, widthAreaMm3, sheetAreaMm2 } = totals[name];
	if (areaMm2 > 0) return { widthMm: widthAreaMm3 / areaMm2, sheetShare: sheetAreaMm2 / areaMm2 };
	const sumOf = (of: keyof ClassTotals) => MATERIAL_CLASSES.reduce((sum, one) => sum + totals[one][of], 0);
	const meanMm = sumOf('widthAreaMm3') / Math.max(sumOf('areaMm2'), 1e-9);
	return { widthMm: Math.min(meanMm, UNSEEN_PIECE[name].widthMm), sheetShare: 0 };
}

const METAL_PIECE = { widthMm: 0.6, areaMm2: 3 };
/**
 * What a piece would be like of a class that no piece was seen of.
 *
 * Metal: wire of 0.6 mm, the geometric middle of strands (0.2 mm) and house wiring (1.8 mm; IEC 60228, from memory), 5 mm long. The
 * rest: lumps that a granulator's screen leaves (common practice, no source).
 */
export const UNSEEN_PIECE: Readonly<Record<MaterialClass, { readonly widthMm: number; readonly areaMm2: number }>> = {
	brightCopper: METAL_PIECE,
	tinnedCopper: METAL_PIECE,
	aluminium: METAL_PIECE,
	insulation: { widthMm: 2, areaMm2: 5 },
	other: { widthMm: 1.5, areaMm2: 2 },
};
