import { MATERIAL_CLASSES } from '../material/classes';

/**
 * How far the shares of the pieces' area, as colours alone tell them, are off from scene to scene beyond what the error table
 * says: standard deviations of their log odds.
 *
 * Colours do not only mix classes up at some rate: in some lights and on some surfaces most of a class goes unseen. No table that
 * multiplies what was seen holds that, log odds with a floor do.
 */
export interface SceneScatter {
	/**
	 * Both copper classes together against all other pieces, upwards alone, in one world of five (`UNSEEN_SHARE`): on held-out scenes copper
	 * goes unseen, but hardly ever more of it is read than the error table explains (1 scene of 134).
	 */
	readonly copper: number;
	/** Aluminium against the other pieces without copper, both ways. */
	readonly aluminium: number;
}

/**
 * Share of the worlds in which copper went unseen. Any from a tenth to a third, with the scatter that goes with it, gives ranges alike
 * (within 3 points) and best values as near the truth (within 1) on the scenes of `SCENE_SCATTER`; a fifth's are the nearest.
 */
export const UNSEEN_SHARE = 0.2;

/**
 * Shares this small can't be told from none, so that what was not seen at all can be there in some world too. With a twentieth the ranges
 * that hold on held-out scenes are as narrow as with any other from 1 to 12 % (within 3 points).
 */
const FLOOR = 0.05;

/**
 * Smallest scatter, in steps of a tenth, at which ranges of area shares hold the truth in 95 of 100 scenes, over 86 scenes on mats
 * and 48 on plain trays with known classes: 24 whole trays and 110 close-ups, each close-up read with colours fitted to the other
 * folds' scenes. Without it 63 and 60 of 100 ranges of copper hold, 35 and 69 of aluminium.
 *
 * @source models/colours/fitSceneScatter.ts
 */
export const SCENE_SCATTER: Readonly<Record<'threshold-mat' | 'threshold-tray', SceneScatter>> = {
	'threshold-mat': { copper: 1.7, aluminium: 1.6 },
	'threshold-tray': { copper: 2.1, aluminium: 0.9 },
};

const BRIGHT = MATERIAL_CLASSES.indexOf('brightCopper');
const TINNED = MATERIAL_CLASSES.indexOf('tinnedCopper');
const ALUMINIUM = MATERIAL_CLASSES.indexOf('aluminium');
const INSULATION = MATERIAL_CLASSES.indexOf('insulation');

/**
 * Move areas between classes as one world's scene would: the copper classes against the rest, then aluminium against what is left.
 * The sum stays; log odds of nought change nothing.
 *
 * @param areas - area of each class in the order of MATERIAL_CLASSES, changed in place
 * @param copperShift - added to the log odds of the copper classes' share
 * @param aluminiumShift - added to the log odds of aluminium's share of the rest
 */
export function shiftShares(areas: Float64Array, copperShift: number, aluminiumShift: number): void {
	let all = 0;
	for (let c = 0; c < areas.length; c++) all += areas[c]!;
	if (all <= 0) return;
	const copper = areas[BRIGHT]! + areas[TINNED]!;
	const newCopper = all * shifted(copper / all, copperShift);
	const tinned = copper > 0 ? areas[TINNED]! / copper : 0;
	const rest = all - copper;
	const newRest = all - newCopper;
	const aluminium = newRest * shifted(rest > 0 ? areas[ALUMINIUM]! / rest : 0, aluminiumShift);
	const others = rest - areas[ALUMINIUM]!;
	const factor = others > 0 ? (newRest - aluminium) / others : 0;
	for (let c = 0; c < areas.length; c++) areas[c]! *= factor;
	areas[TINNED] = newCopper * tinned;
	areas[BRIGHT] = newCopper - areas[TINNED]!;
	areas[ALUMINIUM] = aluminium;
	// where nothing else was seen, what is neither copper nor aluminium is insulation
	if (others <= 0) areas[INSULATION] = newRest - aluminium;
}

/** A share with so much added to its log odds, which are reckoned from `FLOOR` to 1 - `FLOOR`. */
function shifted(share: number, shift: number): number {
	const inner = FLOOR + (1 - 2 * FLOOR) * share;
	const odds = (inner / (1 - inner)) * Math.exp(shift);
	return Math.min(1, Math.max(0, (odds / (1 + odds) - FLOOR) / (1 - 2 * FLOOR)));
}
