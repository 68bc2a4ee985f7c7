import { perClass } from '../material/classes';
import { ERROR_CLASSES } from './errorRates';
import { onceFor, type SharedErrors } from './sharedErrors';

/** What makes a grade uncertain, in the words of the budget; each can be held still while the others vary. */
export const GRADE_CAUSES = [
	'sampling',
	'confusion',
	'rims',
	'thickness',
	'density',
	'locked',
	'overlap',
	'unjudged',
] as const;
export type GradeCause = (typeof GRADE_CAUSES)[number];

/**
 * The same worlds with some causes held at their best value: shared ones become constant, and `drawSpread` holds those that
 * belong to a spread (sampling, unjudged area).
 *
 * The causes left free keep the very draws they had, so that differences between two such sets are not noise.
 */
export function holdStill(shared: SharedErrors, still: readonly GradeCause[]): SharedErrors {
	const held = new Set<GradeCause>([...shared.held, ...still]);
	const flat = (draws: Float64Array) => new Float64Array(draws.length).fill(meanOf(draws));
	const when = (cause: GradeCause, draws: SharedErrors['densityKgPerM3']) =>
		still.includes(cause) ? perClass((name) => flat(draws[name])) : draws;
	return {
		...shared,
		held,
		densityKgPerM3: when('density', shared.densityKgPerM3),
		copperFraction: when('density', shared.copperFraction),
		rims: when('rims', shared.rims),
		shapeFactor: when('thickness', shared.shapeFactor),
		sheetThicknessMm: when('thickness', shared.sheetThicknessMm),
		massFactor: when('thickness', shared.massFactor),
		overlap: still.includes('overlap')
			? {
					piled: flat(shared.overlap.piled),
					order: flat(shared.overlap.order),
					merged: when('overlap', shared.overlap.merged),
				}
			: shared.overlap,
		locked: still.includes('locked') ? flat(shared.locked) : shared.locked,
		ratesOf: still.includes('confusion') ? (kind) => meanRates(shared.ratesOf(kind)) : shared.ratesOf,
		areaGainOf: (kind) => when('confusion', shared.areaGainOf(kind)),
		copperGainOf: (kind) => {
			const gain = shared.copperGainOf(kind);
			if (gain === undefined || !still.includes('confusion')) return gain;
			return { much: flat(gain.much), little: flat(gain.little), trace: flat(gain.trace) };
		},
		sceneShiftOf: still.includes('confusion') ? () => undefined : shared.sceneShiftOf,
		minorAreaGainOf: (kind) => when('confusion', shared.minorAreaGainOf(kind)),
		traceAreaGainOf: (kind) => when('confusion', shared.traceAreaGainOf(kind)),
	};
}

/**
 * The same worlds as another scene shows them: what is called wrongly there, and how areas come out, is drawn alike but goes with nothing here.
 */
export function inOtherScene(shared: SharedErrors): SharedErrors {
	const moved = (draws: Float64Array) => fromMiddle(draws, 1);
	const perScene = (areas: SharedErrors['densityKgPerM3']) => perClass((name) => moved(areas[name]));
	return {
		...shared,
		ratesOf: onceFor((kind) => fromMiddle(shared.ratesOf(kind), ERROR_CLASSES ** 2)),
		areaGainOf: onceFor((kind) => perScene(shared.areaGainOf(kind))),
		minorAreaGainOf: onceFor((kind) => perScene(shared.minorAreaGainOf(kind))),
		traceAreaGainOf: onceFor((kind) => perScene(shared.traceAreaGainOf(kind))),
		copperGainOf: onceFor((kind) => {
			const gain = shared.copperGainOf(kind);
			return gain && { much: moved(gain.much), little: moved(gain.little), trace: moved(gain.trace) };
		}),
		sceneShiftOf: onceFor((kind) => {
			const shift = shared.sceneShiftOf(kind);
			return shift && { copper: moved(shift.copper), aluminium: moved(shift.aluminium) };
		}),
	};
}

/** Draws from the middle one on, those before it last: their own worlds are then others'. */
function fromMiddle(draws: Float64Array, perWorld: number): Float64Array {
	const middle = Math.floor(draws.length / perWorld / 2) * perWorld;
	const moved = new Float64Array(draws.length);
	moved.set(draws.subarray(middle));
	moved.set(draws.subarray(0, middle), draws.length - middle);
	return moved;
}

function meanOf(draws: Float64Array): number {
	return draws.reduce((sum, value) => sum + value, 0) / draws.length;
}

function meanRates(rates: Float64Array): Float64Array {
	const size = ERROR_CLASSES ** 2;
	const mean = new Float64Array(size);
	const draws = rates.length / size;
	for (let at = 0; at < rates.length; at++) mean[at % size] = mean[at % size]! + rates[at]! / draws;
	const flat = new Float64Array(rates.length);
	for (let i = 0; i < draws; i++) flat.set(mean, i * size);
	return flat;
}
