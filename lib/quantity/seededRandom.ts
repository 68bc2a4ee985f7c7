import { randomGamma, randomNormal } from 'd3-random';
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';

/** The seed used where nobody chose one; it is shown with every result that was drawn with it. */
export const DEFAULT_SEED = 20;

/** Draws used for an interval where nobody chose a number: the 95 % limits then repeat to about 2 % of their width. */
export const DEFAULT_DRAWS = 4000;

/** A generator of random numbers that gives the same numbers again for the same seed and purpose. */
export interface Random {
	/** Next number, uniform from 0 (included) to 1 (not included). */
	readonly uniform: () => number;
	/** Next number from the normal distribution with mean 0 and standard deviation 1. */
	readonly normal: () => number;
	/** Next number from the gamma distribution of that shape (above 0) with scale 1; mean and variance are the shape. */
	readonly gamma: (shape: number) => number;
	/** The same as a stream of numbers of one shape, for long loops. */
	readonly gammas: (shape: number) => () => number;
}

/**
 * A seeded generator of its own for one purpose, so that adding a product or a photo leaves the numbers of the others
 * as they were.
 *
 * @param seed - whole number; the same for everything whose shared errors must stay aligned
 * @param purpose - what the numbers are for, for example `'mass'`, run, product; another purpose gives unrelated numbers
 * @throws RangeError when the seed is not a whole number
 * @source generator xoroshiro128+: Blackman and Vigna, ACM Trans. Math. Softw. 47 (2021) 36, through the pure-rand library;
 *   normal draws: polar method of Marsaglia and Bray, SIAM Review 6 (1964) 260, through the d3-random library;
 *   gamma draws: Marsaglia and Tsang, ACM Trans. Math. Softw. 26 (2000) 363, through the same library
 */
export function seededRandom(seed: number, ...purpose: readonly string[]): Random {
	if (!Number.isSafeInteger(seed)) throw new RangeError(`seed must be a whole number, got ${seed}`);
	const generator = xoroshiro128plus(hashOf([String(seed), ...purpose].join('\u001f')));
	const uniform = () => uniformFloat64(generator);
	const gammaOf = randomGamma.source(uniform);
	return {
		uniform,
		normal: kept(randomNormal.source(uniform)()),
		gamma: (shape) => gammaOf(shape)(),
		gammas: (shape) => kept(gammaOf(shape)),
	};
}

/** Streams that stay, the last ones made: some ten are made a photo, and code compiled for streams goes with the last that has it. */
const STAYING = 16;
const staying: (() => number)[] = [];

function kept(stream: () => number): () => number {
	staying.push(stream);
	if (staying.length > STAYING) staying.shift();
	return stream;
}

/** 32-bit FNV-1a hash of the text's UTF-16 units, @source Fowler, Noll and Vo, IETF draft-eastlake-fnv. */
function hashOf(text: string): number {
	let hash = 0x811c9dc5;
	for (let index = 0; index < text.length; index++) {
		hash ^= text.charCodeAt(index);
		hash = Math.imul(hash, 0x01000193);
	}
	return hash | 0;
}
