import { TAUGHT_CLASSES, type TaughtClass, type TaughtSpot } from '../material/taughtSpot';
import { printPercent } from './format';
import { CLASS_NAMES } from './sentences';

/** What a spot can be, as written on screens. */
export function taughtName(name: TaughtClass): string {
	return name === 'background' ? 'Bare surface' : CLASS_NAMES[name];
}

/** `5 spots: bare surface 2; insulation 3.` */
export function taughtCounts(spots: readonly Pick<TaughtSpot, 'class'>[]): string {
	if (spots.length === 0) return 'Nothing taught yet.';
	const parts = TAUGHT_CLASSES.flatMap((name) => {
		const count = spots.filter((spot) => spot.class === name).length;
		return count === 0 ? [] : [`${taughtName(name).toLowerCase()} ${count}`];
	});
	return `${spots.length} ${spots.length === 1 ? 'spot' : 'spots'}: ${parts.join('; ')}.`;
}

/** Stands while the photo is not there to be tapped yet. */
export const READYING = 'The photo is being made ready …';

/** Told where a step of teaching did not get through. */
export const UNREACHED = 'The laptop cannot be reached, so this was not kept. Try again.';

/** What a photo that was said to be an empty tray or mat changes. */
export const SURFACE_TAUGHT = 'All that shows here counts as bare surface now.';

/**
 * What a photo that was said to be clean insulation changes: its colours stop being copper, so a metal piece among them is lost.
 *
 * @param calledCopperFraction - share of its pieces' area that was called bright copper before
 */
export function blankTaughtSentence(calledCopperFraction: number): string {
	return calledCopperFraction < 0.005
		? 'All that lies here counts as insulation now. Hardly any of it was called copper, bright or dull, before.'
		: `All that lies here counts as insulation now. ${printPercent(calledCopperFraction)} of it was called copper, bright or dull, before: if any of that was metal, undo.`;
}

/** What the trained model makes of the spots that photos are read with; undefined where they are not read with these. */
export function modelTaughtSentence({
	spots,
	isUsed,
	isModelFitted,
}: {
	readonly spots: readonly unknown[];
	readonly isUsed: boolean;
	readonly isModelFitted: boolean;
}): string | undefined {
	if (!isUsed || spots.length === 0) return undefined;
	return isModelFitted
		? 'Photos are read with these spots, and the trained model was fitted to them.'
		: 'Photos are read with these spots by their colours. The trained model reads as before: it called them rightly already, or they are too few or too mixed to learn from.';
}

/** Beside the outlines that the pixel model draws. */
export function modelLookSentence(isRead: boolean): string {
	return isRead
		? 'As the model reads this copy of the photo by itself. What you teach it counts when the photo is read again.'
		: 'The model reads the picture …';
}
