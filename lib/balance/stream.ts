import { TrayError } from '../errors/TrayError';
import { COMPONENTS, type Component } from '../material/classes';
import { positiveDraws, shareDraws } from '../quantity/draws';
import { meanOf } from '../quantity/moments';
import { perName } from '../quantity/perName';
import type { Quantity } from '../quantity/quantity';
import { seededRandom } from '../quantity/seededRandom';
import type { AccountInput, StreamInput } from './accountInput';
import type { Drawn } from './drawn';
import type { dryMassInParts } from './dryMass';

/** A mass as weighed: its draws hold its own error and the scale's. */
export interface WeighedMass extends Drawn {
	readonly u: number;
	readonly shared: readonly SharedError[];
}

/** An error that all masses that name it carry alike. */
interface SharedError {
	readonly name: string;
	/** Relative standard uncertainty that it gives a mass. */
	readonly relativeU: number;
}

/** `feed`, `loss`, `product:` and its id, or what is in no bin though it was fed. */
export type StreamKey = 'feed' | 'loss' | 'missing' | `product:${string}`;

/** One stream of a run, ready to be balanced: what was measured, with draws. */
export interface Stream {
	readonly key: StreamKey;
	/** In a sentence: `the feed`, `Tailings`. */
	readonly label: string;
	readonly mass?: WeighedMass;
	/** Mass fractions that were measured. */
	readonly shares: Readonly<Partial<Record<Component, Drawn & { readonly u: number }>>>;
	/** True where the shares come from photos: all four, summing to one in every draw, correlated with other photos. */
	readonly isFromPhotos: boolean;
	/** Free copper over all copper, where photos gave it. */
	readonly freePart?: Drawn;
}

/** Feed first, then the products in their order, then the loss if one was stated. */
export function streamsOf(input: AccountInput): readonly Stream[] {
	refuseIfUnusable(input);
	return [
		streamOf('feed', 'the feed', input.feed ?? {}, input),
		...input.products.map((product) => streamOf(`product:${product.id}`, product.name, product, input)),
		...(input.statedLoss === undefined ? [] : [streamOf('loss', 'the stated loss', input.statedLoss, input)]),
	];
}

function streamOf(key: StreamKey, label: string, stream: StreamInput, input: AccountInput): Stream {
	const { gradeDraws, grade = {}, dryMassKg } = stream;
	const mass = dryMassKg && weighedMassOf(key, { ...stream, dryMassKg }, input);
	if (gradeDraws === undefined) {
		const shares = Object.fromEntries(
			Object.entries(grade).map(([component, share]) => [component, measuredShareOf(key, component, share, input)]),
		);
		return { key, label, ...(mass === undefined ? {} : { mass }), shares, isFromPhotos: false };
	}
	const shares = photoSharesOf(gradeDraws, input.drawCount, label);
	const freePart = stream.freeCopperDraws && freePartOf(stream.freeCopperDraws, gradeDraws.copper);
	return {
		key,
		label,
		...(mass === undefined ? {} : { mass }),
		shares,
		isFromPhotos: true,
		...(freePart === undefined ? {} : { freePart }),
	};
}

/**
 * A weighing's dry mass, kg, drawn: its own error per run and stream, the scale's per scale, so that it is the same everywhere, and what
 * is shared of a moisture's per run.
 */
export function weighedMassOf(
	key: StreamKey,
	{ dryMassKg, scale, moisture }: ReturnType<typeof dryMassInParts>,
	{ runId, seed, drawCount, scales = {} }: Pick<AccountInput, 'runId' | 'seed' | 'drawCount' | 'scales'>,
): WeighedMass {
	const draws = positiveDraws(dryMassKg, drawCount, seededRandom(seed, 'mass', runId, key));
	const shared: SharedError[] = [];
	const share = (relativeU: number, ...words: string[]) => {
		if (!(relativeU > 0)) return;
		shared.push({ name: words.join(' '), relativeU });
		const random = seededRandom(seed, ...words);
		for (let index = 0; index < drawCount; index++) draws[index]! *= Math.max(0, 1 + relativeU * random.normal());
	};
	if (scale !== undefined) share(scales[scale] ?? 0, 'scale', scale);
	if (moisture !== undefined) share(moisture.relativeU, 'moisture', runId, moisture.name);
	return { ...dryMassKg, draws, shared };
}

function measuredShareOf(key: string, component: string, share: Quantity, { runId, seed, drawCount }: AccountInput) {
	try {
		return { ...share, draws: shareDraws(share, drawCount, seededRandom(seed, 'grade', runId, key, component)) };
	} catch (cause) {
		const hint = 'A grade is a share between 0 and 1 with a standard uncertainty that leaves it there.';
		throw new TrayError('usage', `The ${component} grade ${share.value} ± ${share.u} of ${key} cannot be.`, hint, {
			cause,
		});
	}
}

/** Draws brought to sum to one exactly; a draw in which nothing was seen gets the mean of the others. */
function photoSharesOf(
	draws: Readonly<Record<Component, Float64Array>>,
	count: number,
	label: string,
): Stream['shares'] {
	if (COMPONENTS.some((component) => draws[component].length !== count)) {
		throw new RangeError(`the grade draws of ${label} must be ${count} long, as the account's`);
	}
	const scaled = COMPONENTS.map(() => new Float64Array(count));
	const empty: number[] = [];
	for (let index = 0; index < count; index++) {
		const sum = COMPONENTS.reduce((total, component) => total + draws[component][index]!, 0);
		if (!(sum > 0)) empty.push(index);
		else for (const [k, component] of COMPONENTS.entries()) scaled[k]![index] = draws[component][index]! / sum;
	}
	if (empty.length === count) throw new RangeError(`the grade draws of ${label} are all empty`);
	const means = scaled.map((shares) => (meanOf(shares) * count) / (count - empty.length));
	for (const index of empty) for (const [k, shares] of scaled.entries()) shares[index] = means[k]!;
	return perName(COMPONENTS, (_, k) => ({ value: means[k]!, draws: scaled[k]!, u: 0 }));
}

function freePartOf(free: Float64Array, copper: Float64Array): Drawn {
	const part = (freeShare: number, copperShare: number) => (copperShare > 0 ? Math.min(1, freeShare / copperShare) : 1);
	return {
		value: part(meanOf(free), meanOf(copper)),
		draws: free.map((share, index) => part(share, copper[index]!)),
	};
}

function refuseIfUnusable({ products, feed, statedLoss, drawCount }: AccountInput): void {
	if (products.length === 0) {
		throw new TrayError('usage', 'The run has no products.', 'Add at least one product with a weight or a photo.');
	}
	if (new Set(products.map(({ id }) => id)).size < products.length) {
		throw new RangeError('every product needs an id of its own');
	}
	if (!(drawCount >= 2)) throw new RangeError(`an account needs at least two draws, got ${drawCount}`);
	for (const stream of [feed, statedLoss, ...products]) {
		if (stream?.grade !== undefined && stream.gradeDraws !== undefined) {
			throw new RangeError('a stream takes its grade from photos or from elsewhere, not from both');
		}
		const mass = stream?.dryMassKg;
		if (mass !== undefined && !(mass.value >= 0 && mass.u >= 0 && Number.isFinite(mass.value + mass.u))) {
			throw new TrayError('mass-impossible', `A dry mass of ${mass.value} kg cannot be.`, 'Check the weights.');
		}
	}
}
