/** The one picture type: row-major, `channels` interleaved bytes a pixel, upright, sRGB. `data` has width x height x 3 bytes. */
export interface Raster {
	readonly width: number;
	readonly height: number;
	readonly channels: 3;
	readonly colourSpace: 'srgb';
	readonly data: Uint8Array;
}

/** A place on a photo in pixels: x right, y down, (0, 0) the outer corner of the top-left pixel, (0.5, 0.5) its centre. */
export interface PointPx {
	readonly x: number;
	readonly y: number;
}

/** A place on the mat or tray in millimetres: x right, y down from the field's top-left corner. */
export interface PointMm {
	readonly x: number;
	readonly y: number;
}
