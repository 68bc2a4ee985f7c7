import { MATERIAL_CLASSES } from '../material/classes';
import type { SpreadReading } from '../particles/spreadReading';
import type { AreaGain, DrawnKind, ErrorRates } from './errorRates';

/**
 * ln of (true area over area seen) on the 34 rendered mats of six sets that are warned of: where copper is little of what was seen, four
 * tenths of it go astray in shades (in 10 of 10 scenes some), where it is much, next to nothing. Made for each set from the others alone these
 * hold 30 of 34 ranges of free copper (26 without) and bring middlings from 8.1 to 4.6 points off in the middle case.
 */
const COPPER: AreaGain = { logMean: 0, logSd: 0.13, logMeanMinor: 0.49, logSdMinor: 0.3, logSdTrace: 0.55 };
const ALUMINIUM: AreaGain = { logMean: 0.22, logSd: 0.18, logSdMinor: 0.72, logSdTrace: 0.7 };

/** Error rates of the model on mats as they are in hard light from one side: false calls alike, areas of metal less sure. */
export function inSideLight(rates: ErrorRates): ErrorRates {
	const areaGain = rates.areaGain?.map((gain, c) => (MATERIAL_CLASSES[c] === 'aluminium' ? ALUMINIUM : gain));
	return areaGain === undefined ? rates : { ...rates, areaGain, copperGain: COPPER };
}

/** What kind of reading a spread's errors are drawn for. */
export function drawnKindOf({ method, surfaceKind, isSideLit = false }: SpreadReading): DrawnKind {
	const kind = `${method}-${surfaceKind}` as const;
	return kind === 'model-mat' && isSideLit ? 'model-mat-side-lit' : kind;
}
