import { type MaterialClass, perClass } from '../material/classes';
import { taken } from '../quantity/draws';
import { seededRandom } from '../quantity/seededRandom';
import type { samplingVarianceOf } from './samplingVariance';
import type { SharedErrors } from './sharedErrors';

/**
 * Which pieces happened to be scooped up, as a factor on each class's area, one a draw: mean one and the class's relative sampling variance,
 * never negative: a gamma deviate, as a compound count of pieces has. All ones where sampling is held.
 *
 * @param purpose - names the product and the spread, so that different spreads' factors are independent
 */
export function scoopsOf(
	samplingVariance: ReturnType<typeof samplingVarianceOf>,
	{ draws, seed, held }: SharedErrors,
	purpose: readonly string[],
): Readonly<Record<MaterialClass, Float64Array>> {
	return perClass((name) => {
		if (samplingVariance[name] <= 0 || held.has('sampling')) return new Float64Array(draws).fill(1);
		const shape = 1 / samplingVariance[name];
		const factors = taken(draws, seededRandom(seed, 'scoop', name, ...purpose).gammas(shape));
		divide(factors, shape);
		return factors;
	});
}

function divide(numbers: Float64Array, by: number): void {
	for (let i = 0; i < numbers.length; i++) numbers[i]! /= by;
}
