import { COMPONENTS } from '../material/classes';
import { perName } from '../quantity/perName';
import type { Stream } from './stream';

/**
 * By how much uncertainties must be stretched for a misfit to be what they lead to expect: the root of chi-square over its
 * degrees of freedom. 1 where the test (5 %) does not fail.
 *
 * @source Birge, Phys. Rev. 40 (1932) 207; scale factor of the Particle Data Group's reviews (both from memory)
 */
export function misfitRatioOf({
	chiSquare,
	degreesOfFreedom,
	probability,
}: {
	readonly chiSquare: number;
	readonly degreesOfFreedom: number;
	readonly probability: number | undefined;
}): number {
	return probability === undefined || probability >= 0.05 ? 1 : Math.sqrt(chiSquare / degreesOfFreedom);
}

/**
 * Streams with the uncertainty of what the balance tested stretched, best values where they were.
 *
 * Weights are always tested; grades only where the feed's was measured too, so only then are they stretched. A mass is stretched on
 * its logarithm and shares as their logarithms, scaled to one again: neither can leave what it can be, nor what a slip of units makes.
 *
 * @param ratio - above 1
 */
export function stretched(streams: readonly Stream[], ratio: number): readonly Stream[] {
	const gradesTested = Object.keys(streams[0]?.shares ?? {}).length > 0;
	return streams.map((stream) => ({
		...stream,
		...(stream.mass === undefined
			? {}
			: {
					mass: {
						...stream.mass,
						u: ratio * stream.mass.u,
						draws: stretchedAbout(stream.mass.value, stream.mass.draws, ratio),
					},
				}),
		...(gradesTested ? { shares: stretchedShares(stream, ratio) } : {}),
	}));
}

/** The farthest that anything is stretched to: grams taken for kilograms are a thousand times off, and no slip is farther. */
const FARTHEST = 1000;

/** What a draw's ratio to the best value becomes; nought stays nought. */
function stretchedRatio(ofValue: number, ratio: number): number {
	return ofValue > 0 ? Math.min(FARTHEST, Math.max(1 / FARTHEST, ofValue ** ratio)) : ofValue;
}

function stretchedAbout(value: number, draws: Float64Array, ratio: number): Float64Array {
	return value > 0 ? draws.map((draw) => value * stretchedRatio(draw / value, ratio)) : draws;
}

function stretchedShares({ shares, isFromPhotos }: Stream, ratio: number): Stream['shares'] {
	const known = COMPONENTS.filter((component) => shares[component] !== undefined);
	const drawn = known.map((component) => {
		const { value, draws } = shares[component]!;
		return isFromPhotos ? stretchedAbout(value, draws, ratio) : stretchedOdds(value, draws, ratio);
	});
	if (isFromPhotos) {
		for (let i = 0; i < (drawn[0]?.length ?? 0); i++) {
			const sum = drawn.reduce((total, draws) => total + draws[i]!, 0);
			for (const draws of drawn) draws[i] = sum > 0 ? draws[i]! / sum : 1 / drawn.length;
		}
	}
	return perName(known, (component, k) => {
		const { value, u } = shares[component]!;
		return { value, u: ratio * u, draws: drawn[k]! };
	});
}

/** A share measured by itself, stretched on its odds. */
function stretchedOdds(value: number, draws: Float64Array, ratio: number): Float64Array {
	if (!(value > 0 && value < 1)) return draws;
	const odds = value / (1 - value);
	return draws.map((draw) => {
		if (!(draw > 0 && draw < 1)) return draw;
		const own = odds * stretchedRatio(draw / (1 - draw) / odds, ratio);
		return own / (1 + own);
	});
}
