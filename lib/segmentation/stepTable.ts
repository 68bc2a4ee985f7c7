import { encodeSrgb } from '../photo/srgbCurve';
import type { Surface } from '../photo/surface';
import type { FieldBox } from './fieldBox';
import type { Light } from './light';
import { LIGHT_TILE_PX, lightsOfSquares } from './reflectanceTiles';

/** Steps per channel of the colour cube that pixels are sorted into: 6 bits of light-corrected sRGB code. */
export const STEPS = 64;
/** Squares of this many pixels share one light level. */
export const TILE_PX = LIGHT_TILE_PX;
/** Light levels are kept in steps of 1/64 in the logarithm, 1.6 %. */
const LEVELS_PER_E = 64;

/** Tables from a photo's byte to the step of corrected colour: 256 steps per channel and light level. */
export interface StepTable {
	readonly steps: Uint8Array;
	/** Squares of a row of the box. */
	readonly across: number;
	/** Where each square's tables start in `steps`: three a square, row by row. */
	readonly starts: Int32Array;
}

/** The step tables of a box, one for each light level that comes. */
export function stepTable(surface: Surface, light: Light, box: FieldBox): StepTable {
	const across = Math.ceil(box.width / TILE_PX);
	const down = Math.ceil(box.height / TILE_PX);
	const starts = new Int32Array(3 * across * down);
	const levels = new StepLevels(light);
	const lights = light.falloff && lightsOfSquares(surface, light.falloff, box);
	for (let row = 0, width = 3 * across; row < down; row++)
		levels.findRow(lights, row * width, (row + 1) * width, starts);
	return { steps: levels.all(), across, starts };
}

/** Step tables of the levels of light that come, one after another. */
class StepLevels {
	private readonly made: readonly Map<number, number>[] = [new Map(), new Map(), new Map()];
	private readonly tables: Uint8Array[] = [];
	private readonly corrected: Light['tables'];
	constructor({ tables }: Light) {
		this.corrected = tables;
	}
	/** Writes where the tables start for lights from one to another (not included), three a square. */
	findRow(lights: Float64Array | undefined, from: number, to: number, starts: Int32Array): void {
		for (let k = from; k < to; k++)
			starts[k] = this.startOf((k % 3) as 0 | 1 | 2, levelOf(lights === undefined ? 1 : lights[k]!));
	}
	all(): Uint8Array {
		const steps = new Uint8Array(256 * this.tables.length);
		for (const [k, table] of this.tables.entries()) steps.set(table, 256 * k);
		return steps;
	}
	private startOf(channel: 0 | 1 | 2, level: number): number {
		const known = this.made[channel]!.get(level);
		if (known !== undefined) return known;
		const start = 256 * this.tables.length;
		this.tables.push(stepsAt(this.corrected[channel], Math.exp(level / LEVELS_PER_E)));
		this.made[channel]!.set(level, start);
		return start;
	}
}

/** Steps of all bytes under so much light. */
function stepsAt(corrected: Float32Array, there: number): Uint8Array {
	const table = new Uint8Array(corrected.length);
	for (let code = 0; code < table.length; code++) table[code] = stepOf(corrected[code]! / there);
	return table;
}

function levelOf(light: number): number {
	return Math.round(Math.log(light) * LEVELS_PER_E);
}

/** Step of a reflectance: its sRGB code in 64 steps. */
export function stepOf(reflectance: number): number {
	return Math.min(STEPS - 1, Math.max(0, Math.floor(encodeSrgb(Math.max(0, reflectance)) * STEPS)));
}
