import { MATERIAL_CLASSES } from '../material/classes';
import type { PhotoWarning } from '../photo/photoWarning';
import type { BlockSums, SpreadReading } from './spreadReading';

/** A photo that counts, and where it stands. */
export interface PlacedPhoto {
	readonly id: string;
	/** Of its bytes: two shots never have the same, however alike they are. */
	readonly sha256: string;
	/** The bin's name, another for each bin. */
	readonly bin: string;
	readonly spread: number;
	readonly reading?: Pick<SpreadReading, 'blocks'> | undefined;
}

/**
 * A run's photos whose very bytes stand in another bin or spread too, or whose pieces lie as on a photo there: chosen twice from the phone, sent on by
 * a messenger, or shot twice, one of them is in the wrong place.
 *
 * Limit: a plain tray photographed from its other side is not known again.
 *
 * @returns the warning of each such photo, by its id; it names all places, so that it reads alike at each of them
 */
export function samePictures(photos: readonly PlacedPhoto[]): ReadonlyMap<string, PhotoWarning> {
	const isElsewhere = (one: PlacedPhoto, other: PlacedPhoto) => one.bin !== other.bin || one.spread !== other.spread;
	const ofBytes = new Map<string, PlacedPhoto[]>();
	for (const photo of photos) {
		const same = ofBytes.get(photo.sha256);
		if (same === undefined) ofBytes.set(photo.sha256, [photo]);
		else same.push(photo);
	}
	const twins = photos.map((photo) => ofBytes.get(photo.sha256)?.filter((other) => isElsewhere(photo, other)) ?? []);
	const alike = alikeAmong(photos, (i, at) => isElsewhere(photos[i]!, photos[at]!) && !twins[i]?.length);
	return new Map(
		photos.flatMap((photo, i): [string, PhotoWarning][] => {
			const { id } = photo;
			const others = twins[i]!; // one list for each photo
			const found = others.length > 0 ? others : alike[i]!;
			if (found.length === 0) return [];
			const together = new Set(found).add(photo);
			const all = photos.filter((one) => together.has(one));
			const isOneBin = all.every(({ bin }) => bin === photo.bin);
			const places = isOneBin
				? `spreads ${all.map(({ spread }) => spread).join(' and ')}`
				: all.map(({ bin, spread }) => `${bin}, spread ${spread}`).join(', and in ');
			const lead =
				others.length > 0
					? `The very same picture stands in ${places}, so`
					: `The pieces lie alike in ${places}, as if these were one spread. If they are,`;
			const harm = isOneBin
				? 'its pieces count as those of more scoops than were taken. Keep it in one of them only'
				: 'one bin is graded by the pieces of another. Remove it where it does not belong';
			return [[id, { code: 'same-picture', message: `${lead} ${harm}.` }]];
		}),
	);
}

/**
 * For each photo those whose pieces lie as on it, in their order. A run of sixty photos has thousands of pairs, and every page of it asks: each pair is
 * looked at once.
 */
function alikeAmong(
	photos: readonly PlacedPhoto[],
	isAsked: (i: number, at: number) => boolean,
): readonly (readonly PlacedPhoto[])[] {
	const mixes = photos.map(({ reading }) => mixOf(reading?.blocks ?? []));
	const alike = photos.map((): PlacedPhoto[] => []);
	for (const [i, one] of mixes.entries()) {
		for (let at = i + 1; at < mixes.length; at++) {
			if (!(isAsked(i, at) || isAsked(at, i)) || !isOneSpread(one, mixes[at]!)) continue;
			alike[i]!.push(photos[at]!);
			alike[at]!.push(photos[i]!);
		}
	}
	return alike;
}

/** Where a field holds more or less of each class than its own mix would put there. */
interface Mix {
	/** Class by class and block by block, mm2. */
	readonly more: Float64Array;
	/** The sum of their squares. */
	readonly squares: number;
}

/** By the blocks that they are of, which readings in memory keep. */
const mixes = new WeakMap<readonly BlockSums[], Mix>();

function mixOf(blocks: readonly BlockSums[]): Mix {
	const there = mixes.get(blocks);
	if (there !== undefined) return there;
	const mix = newMixOf(blocks);
	mixes.set(blocks, mix);
	return mix;
}

function newMixOf(blocks: readonly BlockSums[]): Mix {
	const covered = blocks.map(({ areaMm2 }) => MATERIAL_CLASSES.reduce((sum, name) => sum + areaMm2[name], 0));
	const all = covered.reduce((sum, mm2) => sum + mm2, 0);
	const more = Float64Array.from(
		MATERIAL_CLASSES.flatMap((name) => {
			const share = blocks.reduce((sum, { areaMm2 }) => sum + areaMm2[name], 0) / all;
			return blocks.map(({ areaMm2 }, k) => areaMm2[name] - share * covered[k]!); // as many as blocks
		}),
	);
	return { more, squares: more.reduce((sum, one) => sum + one ** 2, 0) };
}

/** Chance makes two spreads this alike once in three million pairs: standard deviations of the correlation's transform. */
const NO_CHANCE = 5;
/** The blocks that agree best are left out, one in ten (our choice): a rare class has a strand or two, which may fall in the same block. */
const BEST_LEFT_OUT = 10;

/**
 * Whether two fields' classes lie in one pattern by more than chance: light, blur and scale hardly change where more copper lies. How
 * the pieces cover the field is left out of it, since every scoop is heaped towards the middle.
 *
 * @source R. A. Fisher 1921: the inverse hyperbolic tangent of a correlation over n blocks has a standard deviation of 1/sqrt(n - 3)
 */
function isOneSpread({ more: one, squares }: Mix, { more: other, squares: otherSquares }: Mix): boolean {
	const blocks = one.length / MATERIAL_CLASSES.length;
	if (blocks <= BEST_LEFT_OUT || one.length !== other.length) return false;
	const both = productOf(one, other);
	// most pairs end here; nothing but rounding is left where a field holds one class, or all of it is alike
	if (both <= least(blocks, squares * otherSquares)) return false;
	const each = Array.from({ length: blocks }, (_, block) => agreementOf(one, other, block, blocks));
	const rest = each.sort((a, b) => b.both - a.both).slice(Math.ceil(blocks / BEST_LEFT_OUT));
	// what a rare strand's own share takes from all other blocks goes with how they are covered: next to nothing, and alike
	return isNoChance(rest.length, rest) && rest.reduce((sum, { both }) => sum + both, 0) > both / 4;
}

function isNoChance(blocks: number, agreements: readonly ReturnType<typeof agreementOf>[]): boolean {
	const sum = (of: 'both' | 'one' | 'other') => agreements.reduce((all, agreement) => all + agreement[of], 0);
	return sum('both') > least(blocks, sum('one') * sum('other'));
}

/** The least sum of products that is no chance, by the product of the two sums of squares. */
function least(blocks: number, squares: number): number {
	return 1e-6 + Math.tanh(NO_CHANCE / Math.sqrt(blocks - 3)) * Math.sqrt(squares);
}

function productOf(one: Float64Array, other: Float64Array): number {
	let both = 0;
	for (let k = 0; k < one.length; k++) both += one[k]! * other[k]!;
	return both;
}

/** Sums of products and squares of every `step`th value from `start` on; both are as long. */
function agreementOf(one: Float64Array, other: Float64Array, start: number, step: number) {
	const sums = { both: 0, one: 0, other: 0 };
	for (let k = start; k < one.length; k += step) {
		sums.both += one[k]! * other[k]!;
		sums.one += one[k]! ** 2;
		sums.other += other[k]! ** 2;
	}
	return sums;
}
