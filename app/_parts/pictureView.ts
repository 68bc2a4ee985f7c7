/** Where a picture lies on its stage: screen points per photo pixel, and where the photo's corner is on the stage. */
export interface PictureView {
	readonly scale: number;
	readonly left: number;
	readonly top: number;
}

export interface StageSize {
	readonly width: number;
	readonly height: number;
}

/** Screen points per photo pixel at the closest: single pixels are squares as large as a fingertip's half. */
const CLOSEST = 24;

/** The whole picture in the middle of the stage. */
export function wholePicture(photo: StageSize, stage: StageSize): PictureView {
	const scale = Math.min(stage.width / photo.width, stage.height / photo.height);
	return {
		scale,
		left: (stage.width - photo.width * scale) / 2,
		top: (stage.height - photo.height * scale) / 2,
	};
}

/** Closer or farther by a factor, with the place under (x, y) of the stage held where it is. */
export function zoomed(
	view: PictureView,
	factor: number,
	x: number,
	y: number,
	photo: StageSize,
	stage: StageSize,
): PictureView {
	const least = wholePicture(photo, stage).scale;
	const scale = Math.min(Math.max(least, CLOSEST), Math.max(least, view.scale * factor));
	const by = scale / view.scale;
	return kept({ scale, left: x - (x - view.left) * by, top: y - (y - view.top) * by }, photo, stage);
}

/** Pushed by so many screen points. */
export function pushed(view: PictureView, dx: number, dy: number, photo: StageSize, stage: StageSize): PictureView {
	return kept({ ...view, left: view.left + dx, top: view.top + dy }, photo, stage);
}

/** A picture never leaves its stage: where it is smaller it stays in the middle, where it is larger it fills it. */
function kept(view: PictureView, photo: StageSize, stage: StageSize): PictureView {
	const along = (start: number, size: number, room: number) =>
		size <= room ? (room - size) / 2 : Math.min(0, Math.max(room - size, start));
	return {
		scale: view.scale,
		left: along(view.left, photo.width * view.scale, stage.width),
		top: along(view.top, photo.height * view.scale, stage.height),
	};
}

/** The place of the photo, pixels, that a point of the stage shows. */
export function placeOnPhoto(view: PictureView, x: number, y: number): { readonly x: number; readonly y: number } {
	return { x: (x - view.left) / view.scale, y: (y - view.top) / view.scale };
}
