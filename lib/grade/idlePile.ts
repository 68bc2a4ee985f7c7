import { MATERIAL_CLASSES, type MaterialClass, perClass } from '../material/classes';
import type { SpreadReading } from '../particles/spreadReading';
import { quantileWithin } from '../quantity/estimateOf';
import { type CheckOf, weighingU } from './checkEntry';
import { ERROR_CLASSES } from './errorRates';
import { takeOffFalseCalls } from './falseCalls';
import type { SharedErrors } from './sharedErrors';
import { drawnKindOf } from './sideLight';

/** A weighed pile that says nothing about the mass per area of its class, and why. */
export interface IdlePile {
	/** The spread in a sentence: `spread 2 of Middlings`. */
	readonly label: string;
	readonly name: MaterialClass;
	readonly weighedG: number;
	readonly why: 'fewPieces' | 'coarseWeighing' | 'falseCalls';
}

/** Piles with fewer pieces, or weighed to worse than a third, say nothing about a factor. */
export const [FEWEST_PIECES, WORST_WEIGHING] = [5, 1 / 3];

/** Share of draws below Currie's critical level: 5 % false alarms. @source Currie, Analytical Chemistry 40 (1968) 586 */
const TOLD_APART = 0.95;

/**
 * Why a pile teaches nothing: too few pieces, too coarse a scale, or a picture that shows no more of the class than false calls of all
 * the rest could be. A mass over an area that may be none of the class's own is not its mass per area.
 *
 * @param falseCallsMm2 - see `falseCallsOf`
 * @returns undefined for a pile that teaches
 */
export function whyIdle(
	pile: NonNullable<CheckOf<'handSort'>['piles'][MaterialClass]>,
	name: MaterialClass,
	reading: SpreadReading,
	falseCallsMm2: number,
): IdlePile['why'] | undefined {
	if (reading.pieces[name].count < FEWEST_PIECES) return 'fewPieces';
	if (weighingU(pile) / pile.massG > WORST_WEIGHING) return 'coarseWeighing';
	return areaOf(reading, name) <= falseCallsMm2 ? 'falseCalls' : undefined;
}

/**
 * Area of each class, mm2, up to which all of it could be other things called so: the critical level of its false calls, by the
 * drawn error rates and the spread's own make-up.
 *
 * @source Currie, Analytical Chemistry 40 (1968) 586
 */
export function falseCallsOf(reading: SpreadReading, shared: SharedErrors): Readonly<Record<MaterialClass, number>> {
	const fieldMm2 = reading.blocks.reduce((sum, block) => sum + block.fieldMm2, 0);
	const kind = drawnKindOf(reading);
	const [rates, gains] = [shared.ratesOf(kind), shared.measuredGainsOf(kind)];
	const shares = MATERIAL_CLASSES.map((name) => areaOf(reading, name) / fieldMm2);
	const called = Float64Array.from([Math.max(0, 1 - shares.reduce((sum, share) => sum + share, 0)), ...shares]);
	const truth = new Float64Array(ERROR_CLASSES);
	const wrong = perClass(() => new Float64Array(shared.draws));
	for (let i = 0; i < shared.draws; i++) {
		const offset = i * ERROR_CLASSES ** 2;
		takeOffFalseCalls(called, rates, offset, truth, gains);
		for (const [c, name] of MATERIAL_CLASSES.entries()) {
			const j = c + 1;
			let sum = 0;
			for (let k = 0; k < ERROR_CLASSES; k++) if (k !== j) sum += truth[k]! * rates[offset + k * ERROR_CLASSES + j]!;
			wrong[name][i] = sum;
		}
	}
	return perClass((name) => fieldMm2 * quantileWithin(wrong[name], shared.draws, TOLD_APART));
}

function areaOf({ blocks }: SpreadReading, name: MaterialClass): number {
	return blocks.reduce((sum, block) => sum + block.areaMm2[name], 0);
}
