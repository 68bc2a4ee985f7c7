import { type WeighingInput, weighingSchema } from '@/lib/balance/weighing';
import { weighingFaultOf } from '@/lib/balance/weighingFault';
import { MASS_UNITS } from '@/lib/quantity/units';
import { printEntered, printTyped } from '@/lib/report/format';
import type { FieldReader } from './readFields';

/** The ways to tell how wet a bin was, as the form offers them. */
const MOISTURE_KINDS = ['dry', 'fraction', 'dried', 'allowance'] as const;

/** What is said of wet or dry where a feed is weighed: it has not met the table's water yet. */
export const FEED_WET_HINT =
	'Soaked, or stored in the rain? Counted as dry, its water passes for material that was lost on the table.';

type Typed = Readonly<Record<string, string>>;

/**
 * Read a weighing from its form fields, each with a prefix (`gross`, or `feed-gross`).
 *
 * @returns undefined when nothing was typed, or when a problem was noted
 */
export function readWeighingForm(typed: Typed, fields: FieldReader, prefix = ''): WeighingInput | undefined {
	const at = (name: string) => `${prefix}${name}`;
	const text = (name: string) => (typed[at(name)] ?? '').trim();
	if (text('gross') === '') {
		if (text('tare') !== '') fields.problem(at('gross'), 'Enter the gross weight: bin and content together');
		return undefined;
	}
	const before = fields.problems.length;
	const unit = fields.choice(at('unit'), MASS_UNITS, 'Choose the unit of the weights');
	const kind = fields.choice(at('moistureKind'), MOISTURE_KINDS, 'Say whether it was wet or dry when weighed');
	const moisture = readMoisture(kind, text, (name, message) => fields.problem(at(name), message));
	const given = {
		gross: text('gross'),
		...(text('tare') === '' ? {} : { tare: text('tare') }),
		unit,
		...(text('resolution') === '' ? {} : { resolution: text('resolution') }),
		...(text('scale') === '' ? {} : { scale: text('scale') }),
		...(moisture === undefined ? {} : { moisture }),
	};
	if (fields.problems.length > before) return undefined;
	const parsed = weighingSchema.safeParse(given);
	if (!parsed.success) {
		for (const { path, message } of parsed.error.issues) fields.problem(at(fieldOf(path)), message);
		return undefined;
	}
	if (parsed.data.resolutionKg === 0) {
		fields.problem(
			at('resolution'),
			'The smallest step of a scale is above nothing. Leave it empty if you do not know it.',
		);
		return undefined;
	}
	const fault = weighingFaultOf(parsed.data);
	if (fault === undefined) return given;
	fields.caught(at(fieldOf(fault.path)), fault.error);
	return undefined;
}

function readMoisture(
	kind: (typeof MOISTURE_KINDS)[number],
	text: (name: string) => string,
	problem: (field: string, message: string) => void,
): WeighingInput['moisture'] {
	if (kind === 'fraction') {
		if (text('moisturePercent') === '') problem('moisturePercent', 'Enter the moisture in per cent of the wet weight');
		return { kind, fraction: `${text('moisturePercent').replace(/\s*%$/, '')} %` };
	}
	if (kind === 'dried') {
		if (text('wet') === '') problem('wet', 'Enter what the sub-sample weighed wet');
		if (text('dry') === '') problem('dry', 'Enter what the sub-sample weighed after drying');
		return { kind, wet: text('wet'), dry: text('dry') };
	}
	if (kind === 'allowance') {
		if (text('water') === '') problem('water', 'Enter how much water the drained material still holds');
		return { kind, water: text('water'), u: text('waterU') === '' ? text('water') : text('waterU') };
	}
	return undefined;
}

/** The fields of what a weighing holds; what has none is told at the gross weight. */
const FIELD_OF: Readonly<Record<string, string>> = {
	tare: 'tare',
	resolution: 'resolution',
	scale: 'scale',
	'moisture.fraction': 'moisturePercent',
	'moisture.wet': 'wet',
	'moisture.dry': 'dry',
	'moisture.resolution': 'wet',
	'moisture.water': 'water',
	'moisture.u': 'waterU',
};

/** The field for what stands at a path of `weighingSchema`. */
function fieldOf(path: readonly PropertyKey[]): string {
	return FIELD_OF[path.map(String).join('.')] ?? 'gross';
}

/**
 * What the form of a bin takes over from the bin weighed before. How wet that one was it does not: drained plastic holds far more
 * water than drained copper. Nor that it was dry: one bin that was dried says nothing of the next.
 *
 * @param isTareKept - bins at the table are often alike
 */
export function typedAsBefore(before: WeighingInput | undefined, isTareKept: boolean): Typed {
	const { unit = 'kg', resolution = '', scale = '', moistureKind = '', tare = '' } = typedWeighing(before);
	const kind = moistureKind === 'dry' ? '' : moistureKind;
	return { unit, resolution, scale, moistureKind: kind, ...(isTareKept ? { tare } : {}) };
}

/** A weighing as the form's fields show it again. */
export function typedWeighing(weighing: WeighingInput | undefined, prefix = ''): Typed {
	if (weighing === undefined) return {};
	const { moisture } = weighing;
	const typed: Record<string, string> = {
		gross: shown(weighing.gross),
		tare: shown(weighing.tare),
		unit: weighing.unit ?? 'kg',
		resolution: shown(weighing.resolution),
		scale: weighing.scale ?? '',
		moistureKind: moisture?.kind ?? 'dry',
	};
	if (moisture?.kind === 'fraction') typed.moisturePercent = percentText(moisture.fraction);
	if (moisture?.kind === 'dried') Object.assign(typed, { wet: shown(moisture.wet), dry: shown(moisture.dry) });
	if (moisture?.kind === 'allowance') Object.assign(typed, { water: shown(moisture.water), waterU: shown(moisture.u) });
	return Object.fromEntries(Object.entries(typed).map(([name, value]) => [`${prefix}${name}`, value]));
}

/**
 * A weighing from the form with what the form does not ask for, as it stood: a file may have brought it.
 *
 * @param askMoisture - whether the form asked how wet it was
 */
export function withUnasked(
	entered: WeighingInput | undefined,
	earlier: WeighingInput | undefined,
	askMoisture = true,
): WeighingInput | undefined {
	if (entered === undefined || earlier === undefined) return entered;
	const { repeatability } = earlier;
	const moisture = askMoisture ? withTold(entered.moisture, earlier.moisture) : earlier.moisture;
	return {
		...entered,
		...(repeatability === undefined ? {} : { repeatability }),
		...(moisture === undefined ? {} : { moisture }),
	};
}

type MoistureInput = WeighingInput['moisture'];

/** How well a moisture is known, where the moisture itself was left as it was. */
function withTold(entered: MoistureInput, earlier: MoistureInput): MoistureInput {
	if (entered?.kind === 'fraction' && earlier?.kind === 'fraction') {
		const isAsItWas = percentText(entered.fraction) === percentText(earlier.fraction);
		return isAsItWas && earlier.u !== undefined ? { ...entered, u: earlier.u } : entered;
	}
	if (entered?.kind === 'dried' && earlier?.kind === 'dried' && earlier.resolution !== undefined)
		return { ...entered, resolution: earlier.resolution };
	return entered;
}

function percentText(given: number | string): string {
	return typeof given === 'number' ? printEntered(given * 100) : printTyped(given.replace(/\s*%$/, ''));
}

/** A weight as it goes back into its field. */
function shown(given: number | string | undefined): string {
	return typeof given === 'number' ? printEntered(given) : printTyped(given ?? '');
}
