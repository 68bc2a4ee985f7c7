import { type Falloff, lightAt } from '../colour/falloff';
import type { Raster } from '../photo/raster';
import type { Matrix3, Surface } from '../photo/surface';
import type { ClassMap } from './classMap';
import type { Light } from './light';

/** Squares of this many pixels share one light level; light over a field changes by far less than 1 % across one. */
export const LIGHT_TILE_PX = 16;

type Box = Pick<ClassMap, 'width' | 'height' | 'columnOffset' | 'rowOffset'>;

/** What corrected light is multiplied by in each square of a box. */
export interface LightGains {
	/** Squares in a row. */
	readonly across: number;
	/** Three a square, row by row. */
	readonly gain: Float32Array;
}

/** The light on each square's middle, three numbers a square, row by row: the last asked for with each fall-off, as several steps ask for the same. */
const lastLights = new WeakMap<Falloff, { readonly of: readonly unknown[]; readonly lights: Float64Array }>();

/** Light at the middle of each square of a box, three numbers a square, relative to where the fall-off is 1. */
export function lightsOfSquares(surface: Surface, falloff: Falloff, box: Box): Float64Array {
	const { width, height, columnOffset, rowOffset } = box;
	const of = [surface, width, height, columnOffset, rowOffset];
	const last = lastLights.get(falloff);
	if (last?.of.every((one, k) => one === of[k])) return last.lights;
	const across = Math.ceil(width / LIGHT_TILE_PX);
	const down = Math.ceil(height / LIGHT_TILE_PX);
	const lights = new Float64Array(3 * across * down);
	for (let row = 0; row < down; row++)
		lightRow(
			surface.pxToMm,
			falloff,
			columnOffset,
			rowOffset + (row + 0.5) * LIGHT_TILE_PX,
			lights,
			row * across,
			across,
		);
	lastLights.set(falloff, { of, lights });
	return lights;
}

/** Writes the light of so many squares from tile `first` on, whose middles lie at height `y` of the photo. */
function lightRow(
	m: Matrix3,
	falloff: Falloff,
	left: number,
	y: number,
	lights: Float64Array,
	first: number,
	across: number,
): void {
	for (let square = 0; square < across; square++) {
		const x = left + (square + 0.5) * LIGHT_TILE_PX;
		const w = m[6] * x + m[7] * y + m[8];
		const there = lightAt(falloff, (m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w);
		for (let c = 0; c < 3; c++) lights[3 * (first + square) + c] = there[c]!;
	}
}

function takeOff(lights: Float64Array, gain: Float32Array): void {
	for (let k = 0; k < gain.length; k++) gain[k] = 1 / lights[k]!;
}

/** Gains of the squares of a box: the light's fall-off taken off at each square's middle. */
export function lightGains(surface: Surface, light: Light, box: Box): LightGains {
	const across = Math.ceil(box.width / LIGHT_TILE_PX);
	const gain = new Float32Array(3 * across * Math.ceil(box.height / LIGHT_TILE_PX)).fill(1);
	if (light.falloff !== undefined) {
		takeOff(lightsOfSquares(surface, light.falloff, box), gain);
	}
	return { across, gain };
}

/** Reads light-corrected linear reflectance of the pixels of a box on a photo. */
export class ReflectanceReader {
	// arrays by themselves: code compiled for them outlives objects that are not alike from photo to photo
	private readonly data: Uint8Array;
	private readonly red: Float32Array;
	private readonly green: Float32Array;
	private readonly blue: Float32Array;
	private readonly gain: Float32Array;
	private readonly across: number;
	private readonly width: number;
	private readonly widthPx: number;
	/** The box's first pixel on the photo. */
	private readonly origin: number;
	constructor(raster: Raster, { tables }: Light, box: Box, gains: LightGains) {
		this.data = raster.data;
		[this.red, this.green, this.blue] = tables;
		this.gain = gains.gain;
		this.across = gains.across;
		this.width = box.width;
		this.widthPx = raster.width;
		this.origin = box.rowOffset * raster.width + box.columnOffset;
	}
	/** Write the three channels of pixel `i` of the box (row-major) into `rgb`, from entry `at` on. */
	read(i: number, rgb: Float64Array | Float32Array, at = 0): void {
		const { data, gain } = this;
		const row = Math.floor(i / this.width);
		const column = i - row * this.width;
		const tile = 3 * (Math.floor(row / LIGHT_TILE_PX) * this.across + Math.floor(column / LIGHT_TILE_PX));
		const k = 3 * (this.origin + row * this.widthPx + column);
		rgb[at] = this.red[data[k]!]! * gain[tile]!;
		rgb[at + 1] = this.green[data[k + 1]!]! * gain[tile + 1]!;
		rgb[at + 2] = this.blue[data[k + 2]!]! * gain[tile + 2]!;
	}
}

/** The same row by row: a function that writes the three channels of the pixels of row `row` of the box into `line`. */
export function reflectanceRows(
	raster: Raster,
	surface: Surface,
	light: Light,
	box: Box,
): (row: number, line: Float32Array) => void {
	const { across, gain } = lightGains(surface, light, box);
	const [red, green, blue] = light.tables;
	const { data } = raster;
	return (row, line) => {
		let tile = 3 * Math.floor(row / LIGHT_TILE_PX) * across;
		let k = 3 * ((row + box.rowOffset) * raster.width + box.columnOffset);
		// Hot loop.
		for (let from = 0, at = 0; from < box.width; from += LIGHT_TILE_PX, tile += 3) {
			const [r, g, b] = [gain[tile]!, gain[tile + 1]!, gain[tile + 2]!];
			const to = 3 * Math.min(box.width, from + LIGHT_TILE_PX);
			for (; at < to; at += 3, k += 3) {
				line[at] = red[data[k]!]! * r;
				line[at + 1] = green[data[k + 1]!]! * g;
				line[at + 2] = blue[data[k + 2]!]! * b;
			}
		}
	};
}
