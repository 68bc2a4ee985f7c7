import type { MaterialClass } from '../material/classes';

/**
 * Sums over one block of the field, per class. Blocks are squares of the field a few centimetres wide: neighbouring
 * pixels are not independent, blocks nearly are.
 */
export interface BlockSums {
	/** Projected area of the class in the block, mm2. */
	readonly areaMm2: Readonly<Record<MaterialClass, number>>;
	/** Sum of local width times area, mm3: what a thickness factor multiplies to give a volume. */
	readonly widthAreaMm3: Readonly<Record<MaterialClass, number>>;
	/** Area of the class whose thickness is capped by its sheet thickness rather than given by its width, mm2. */
	readonly sheetAreaMm2: Readonly<Record<MaterialClass, number>>;
	/** Area inside the field that was not judged, mm2. */
	readonly unjudgedMm2: number;
	/** What that area holds of each class by the model's probabilities, mm2; the rest of it is bare. Where the model tells. */
	readonly unsureMm2?: Readonly<Record<MaterialClass, number>>;
	/** Area of the field in the block, mm2. */
	readonly fieldMm2: number;
}

/** Pieces of one class: what the sampling floor counts. */
export interface PieceStatistics {
	readonly count: number;
	/** Mean and mass-weighted mean of the pieces' width-area products, mm3 (a stand-in for mass until shapes are drawn). */
	readonly meanWidthAreaMm3: number;
	readonly weightedMeanWidthAreaMm3: number;
	readonly medianWidthMm: number;
}

/** What one photo says before any mass is worked out. */
export interface SpreadReading {
	readonly method: 'threshold' | 'model';
	readonly surfaceKind: 'mat' | 'tray';
	readonly blocks: readonly BlockSums[];
	readonly pieces: Readonly<Record<MaterialClass, PieceStatistics>>;
	/** Side of the pixels that classes were told at, mm on the surface; what was kept without it counts as endlessly fine. */
	readonly pixelMm?: number;
	/** Share of the field covered by pieces. */
	readonly coverageFraction: number;
	/** Share of the pieces' area in pieces that the field's edge cuts. */
	readonly edgeAreaFraction?: number;
	/** Whether hard light from one side cast so much deep shade that it is warned of. */
	readonly isSideLit?: boolean;
	/** Borders between metal and all else over those that pieces dropped at random would have (`borders.ts`). */
	readonly bordersOverChance?: number | undefined;
}
