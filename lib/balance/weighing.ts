import { z } from 'zod';
import { toldOf } from '../errors/TrayError';
import { parseNumber } from '../quantity/parseNumber';
import { MASS_UNITS, type MassUnit, massUnitOf, readMass, type TypedMass } from '../quantity/units';

/**
 * A mass as people and files give it: `"12,4 kg"`, `"27.5 lb"`, or a bare number in the weighing's own unit.
 *
 * Comes out as the raw text; it is read once the unit of bare numbers is known.
 */
const typed = z.union([z.number(), z.string()], { error: 'A weight is a number or a text such as "12.4 kg".' });

/** A share given as a fraction (0.12) or as a text in per cent ("12 %"). */
const share = z.union([z.number(), z.string()]).transform((given, context) => {
	const percent = typeof given === 'string' && given.includes('%');
	const number = typeof given === 'number' ? given : parseNumber(given, ['%']);
	const fraction = number === undefined ? Number.NaN : percent ? number / 100 : number;
	if (fraction >= 0 && fraction < 1) return fraction;
	const message = !(fraction >= 0)
		? `The moisture "${given}" is not a share. Write 12 % or 0.12.`
		: percent || fraction === 1
			? `A moisture of ${Number((fraction * 100).toPrecision(6))} % leaves nothing dry. Check it: it is the water's share of the wet weight.`
			: `The moisture ${given} is above 1. Write 12 per cent as 12 % or 0.12.`;
	context.addIssue({ code: 'custom', message });
	return z.NEVER;
});

const moistureSchema = z.discriminatedUnion('kind', [
	/** Share of water in the wet material, wet basis, with its standard uncertainty if known. */
	z.strictObject({ kind: z.literal('fraction'), fraction: share, u: share.optional() }),
	/** A weighed sub-sample of the wet material, dried and weighed again. */
	z.strictObject({ kind: z.literal('dried'), wet: typed, dry: typed, resolution: typed.optional() }),
	/** A mass of water assumed to cling to what was weighed, with its standard uncertainty. */
	z.strictObject({ kind: z.literal('allowance'), water: typed, u: typed }),
]);

/**
 * One weighing of a bin or of the feed.
 *
 * `unit` is the unit of bare numbers (kg when left out). Without a tare the gross weight is the net weight as shown by
 * a scale set to zero with the empty bin. Without a resolution the last digit written counts as the scale's step, for gross and tare each its own (`stepsKg`).
 * `scale` names the scale, so that its own error can be shared by all that was weighed on it.
 */
export const weighingSchema = z
	.strictObject({
		gross: typed,
		tare: typed.optional(),
		unit: z
			.string()
			.transform((word, context): MassUnit => {
				const unit = massUnitOf(word);
				if (unit !== undefined) return unit;
				context.addIssue({ code: 'custom', message: `The unit "${word}" is not known. Use ${MASS_UNITS.join(', ')}.` });
				return z.NEVER;
			})
			.default('kg'),
		resolution: typed.optional(),
		/** Standard deviation of weighing the same thing again. */
		repeatability: typed.optional(),
		scale: z.string().min(1).max(80, { error: 'Shorten the name of the scale to 80 characters.' }).optional(),
		moisture: moistureSchema.optional(),
	})
	.transform((given, context) =>
		readWeighing(given, (value, what, path) => {
			try {
				return readMass(plain(value), what, given.unit);
			} catch (cause) {
				context.addIssue({ code: 'custom', message: toldOf(cause), path: [...path] });
				return UNREAD;
			}
		}),
	);

/** Stands for a mass that an issue was noted for, so that the others are looked at too. */
const UNREAD: TypedMass = { massKg: Number.NaN, unit: 'kg', lastDigitKg: Number.NaN };

/** Reads a mass of the weighing; what it is begins the sentence of a refusal, the path says where it was given. */
type ReadPart = (value: number | string, what: string, path: readonly string[]) => TypedMass;

/** What a weighing may be written as, in a form or a file. */
export type WeighingInput = z.input<typeof weighingSchema>;

/** One weighing as read: every mass in kilograms. */
export interface Weighing {
	readonly grossKg: number;
	/** The unit that the gross weight was given in. */
	readonly unit: MassUnit;
	readonly tareKg?: number;
	/** One step of the scale, as told or as the last digit written; the tare may be read to another. */
	readonly resolutionKg: number;
	readonly tareResolutionKg?: number;
	readonly repeatabilityKg: number;
	readonly scale?: string;
	readonly moisture?: Moisture;
}

/** What is known of the water in what was weighed; shares are of the wet mass. */
export type Moisture =
	| { readonly kind: 'fraction'; readonly fraction: number; readonly u?: number }
	| {
			readonly kind: 'dried';
			readonly wetKg: number;
			readonly dryKg: number;
			readonly resolutionKg: number;
			/** How many sub-samples that is of; one where absent. */
			readonly samples?: number;
	  }
	| { readonly kind: 'allowance'; readonly waterKg: number; readonly uKg: number };

interface Given {
	readonly gross: number | string;
	readonly tare?: number | string | undefined;
	readonly unit: MassUnit;
	readonly resolution?: number | string | undefined;
	readonly repeatability?: number | string | undefined;
	readonly scale?: string | undefined;
	readonly moisture?: z.output<typeof moistureSchema> | undefined;
}

function readWeighing(given: Given, read: ReadPart): Weighing {
	const gross = read(given.gross, 'The gross weight', ['gross']);
	const tare = given.tare === undefined ? undefined : read(given.tare, 'The tare', ['tare']);
	const told =
		given.resolution === undefined
			? undefined
			: read(given.resolution, "The scale's resolution", ['resolution']).massKg;
	const repeatabilityKg =
		given.repeatability === undefined ? 0 : read(given.repeatability, 'The repeatability', ['repeatability']).massKg;
	const moisture = given.moisture === undefined ? undefined : readMoisture(given.moisture, read);
	const weighed = [[given.gross, gross] as const, ...(tare === undefined ? [] : [[given.tare!, tare] as const])];
	const [resolutionKg = 0, tareResolutionKg = 0] = told === undefined ? stepsKg(weighed) : [told, told];
	return {
		grossKg: gross.massKg,
		unit: gross.unit,
		...(tare === undefined ? {} : { tareKg: tare.massKg, tareResolutionKg }),
		resolutionKg,
		repeatabilityKg,
		...(given.scale === undefined ? {} : { scale: given.scale }),
		...(moisture === undefined ? {} : { moisture }),
	};
}

function readMoisture(given: z.output<typeof moistureSchema>, read: ReadPart): Moisture {
	if (given.kind === 'fraction') {
		return { kind: 'fraction', fraction: given.fraction, ...(given.u === undefined ? {} : { u: given.u }) };
	}
	if (given.kind === 'allowance') {
		const waterKg = read(given.water, 'The allowance for water', ['moisture', 'water']).massKg;
		return { kind: 'allowance', waterKg, uKg: read(given.u, "The allowance's uncertainty", ['moisture', 'u']).massKg };
	}
	const wet = read(given.wet, "The sub-sample's wet weight", ['moisture', 'wet']);
	const dry = read(given.dry, "The sub-sample's dry weight", ['moisture', 'dry']);
	const told =
		given.resolution === undefined
			? undefined
			: read(given.resolution, "The sub-sample scale's resolution", ['moisture', 'resolution']);
	const steps = stepsKg([
		[given.wet, wet],
		[given.dry, dry],
	]);
	const resolutionKg = told?.massKg ?? Math.max(...steps);
	return { kind: 'dried', wetKg: wet.massKg, dryKg: dry.massKg, resolutionKg };
}

/** What each mass was read to: a text its last digit; a bare number keeps no last noughts, so it goes with the finest of all. */
function stepsKg(weighed: readonly (readonly [written: number | string, TypedMass])[]): readonly number[] {
	const finest = Math.min(...weighed.map(([, { lastDigitKg }]) => lastDigitKg));
	return weighed.map(([written, { lastDigitKg }]) => (typeof written === 'number' ? finest : lastDigitKg));
}

/** A number written without an exponent, as a person would have typed it. */
function plain(value: number | string): string {
	if (typeof value === 'string') return value;
	const text = String(value);
	return text.includes('e') ? value.toFixed(12).replace(/0+$/, '') : text;
}
