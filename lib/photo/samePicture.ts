import type { PhotoWarning } from './photoWarning';

/** A photo that counts, and where it stands. */
export interface PlacedPhoto {
	readonly id: string;
	/** Of its bytes: two shots never have the same, however alike they are. */
	readonly sha256: string;
	/** The bin's name, another for each bin. */
	readonly bin: string;
	readonly spread: number;
}

/**
 * A run's photos whose very bytes stand in another bin or spread too: chosen twice from the phone, one of them is in the wrong place.
 *
 * @returns the warning of each such photo, by its id
 */
export function samePictures(photos: readonly PlacedPhoto[]): ReadonlyMap<string, PhotoWarning> {
	const byBytes = new Map<string, PlacedPhoto[]>();
	for (const photo of photos) {
		const same = byBytes.get(photo.sha256);
		if (same === undefined) byBytes.set(photo.sha256, [photo]);
		else same.push(photo);
	}
	return new Map(
		photos.flatMap(({ id, sha256, bin, spread }): [string, PhotoWarning][] => {
			const others = (byBytes.get(sha256) ?? []).filter((other) => other.bin !== bin || other.spread !== spread);
			if (others.length === 0) return [];
			const placeOf = (other: PlacedPhoto) =>
				other.bin === bin ? `spread ${other.spread}` : `${other.bin}, spread ${other.spread}`;
			const places = others.map(placeOf).join(', and in ');
			const harm = others.some((other) => other.bin !== bin)
				? 'one bin is graded by the pieces of another. Remove it where it does not belong'
				: 'its pieces count as those of more scoops than were taken. Leave it in one of them';
			return [[id, { code: 'same-picture', message: `The very same picture stands in ${places} too, so ${harm}.` }]];
		}),
	);
}
