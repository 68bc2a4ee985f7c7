import type { PhotoState } from './photos';

/** A spread as far as this asks: how its photos stand. */
export interface PhotosOfSpread {
	readonly photos: readonly { readonly state: PhotoState }[];
}

/** Whether a spread has a photo that is read or may yet be: one that was refused, taken again or left out shows nothing of it. */
export function isPhotographed({ photos }: PhotosOfSpread): boolean {
	return photos.some(({ state }) => state.kind !== 'refused' && !(state.kind === 'held' && state.why === 'setAside'));
}
