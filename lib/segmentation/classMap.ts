/**
 * Classes of the pixels inside the field's bounding box of one photo.
 *
 * `labels` holds one class code a pixel (lib/material/classes.ts), height x width, row-major; pixels of the box that lie
 * outside the field polygon are 0 and `areaMm2` is 0 there.
 */
export interface ClassMap {
	readonly width: number;
	readonly height: number;
	/** Where the box's top-left pixel sits on the upright photo. */
	readonly columnOffset: number;
	readonly rowOffset: number;
	readonly labels: Uint8Array;
	/** Covered share of each pixel, 0 to 255; absent where every particle pixel counts whole. */
	readonly cover?: Uint8Array;
	/** 1 at pixels that lie in a gap between two pieces of one label (gaps.ts): they part widths, and count with the area as ever. */
	readonly gaps?: Uint8Array;
	/** Areas by the model's own rule, where they are not to be counted from the labels. */
	readonly areas?: AreaTiles;
	/** Metal's part, of 255, at pixels that might be metal in another likely light: what is called insulation there is measured, but not judged (doubtfulLight.ts). */
	readonly rivalled?: Uint8Array;
}

/** The map with other labels, and with a covered share where one is given; put together property by property, as surfaces are (photo/surface.ts). */
export function relabelled(map: ClassMap, labels: Uint8Array, cover = map.cover): ClassMap {
	const { width, height, columnOffset, rowOffset, gaps, areas, rivalled } = map;
	const made: { -readonly [Part in keyof ClassMap]: ClassMap[Part] } = {
		width,
		height,
		columnOffset,
		rowOffset,
		labels,
	};
	if (cover !== undefined) made.cover = cover;
	if (gaps !== undefined) made.gaps = gaps;
	if (areas !== undefined) made.areas = areas;
	if (rivalled !== undefined) made.rivalled = rivalled;
	return made;
}

/** Areas of the classes, summed over squares of the box. */
export interface AreaTiles {
	/** Side of the squares, pixels; the last ones of a row or column may be cut. */
	readonly tilePx: number;
	readonly across: number;
	readonly down: number;
	/** Pixels covered by each class, bare surface first; down x across x 6. Pixels not judged are left out. */
	readonly px: Float32Array;
	/** Likewise, what the pixels that were left out hold of each class by its probabilities; where the model tells. */
	readonly unsurePx?: Float32Array;
}
