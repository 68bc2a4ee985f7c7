import type { Random } from '../quantity/seededRandom';
import type { GradeDraws } from './gradeDraws';

/**
 * Draws with the copper put where the checks have it, in an order that goes with the photos' as far as these count: so what products
 * share by their photos stays shared, and what a check adds is its own.
 */
export function withCopper(photo: GradeDraws, target: Float64Array, pull: number, random: Random): GradeDraws {
	const beside = Math.sqrt(1 - pull ** 2);
	const places = new Float64Array(photo.copper.length);
	const normals = places.map(() => random.normal()).sort();
	ranked(photo.copper).forEach((i, rank) => {
		places[i] = pull * normals[rank]!;
	});
	const order = ranked(places.map((place) => place + beside * random.normal()));
	const sorted = target.slice().sort();
	const copper = new Float64Array(photo.copper.length);
	order.forEach((i, rank) => {
		copper[i] = sorted[rank]!;
	});
	const rest = (draws: Float64Array) =>
		draws.map((share, i) => (photo.copper[i]! < 1 ? (share * (1 - copper[i]!)) / (1 - photo.copper[i]!) : 0));
	return {
		copper,
		freeCopper: photo.freeCopper.map((share, i) =>
			photo.copper[i]! > 0 ? (share * copper[i]!) / photo.copper[i]! : 0,
		),
		aluminium: rest(photo.aluminium),
		insulation: rest(photo.insulation),
		other: rest(photo.other),
	};
}

/** Places of the draws from the least to the largest. */
function ranked(draws: Float64Array): number[] {
	return Array.from(draws.keys()).sort((a, b) => draws[a]! - draws[b]!);
}
