import { printEntered } from '@/lib/report/format';
import type { RunEntry } from '@/lib/store/runs';
import { FieldReader } from './readFields';
import { readWeighingForm, typedWeighing, withUnasked } from './weighingForm';

/** The table's knobs: field, the words for it, unit and believable limits. */
export const KNOBS = [
	{
		field: 'deckSlopeCrossDeg',
		label: 'Deck slope, across',
		what: 'The slope across',
		unit: 'degrees',
		least: -20,
		most: 45,
	},
	{ field: 'deckSlopeEndDeg', label: 'Deck slope, end', what: 'The end slope', unit: 'degrees', least: -20, most: 45 },
	{ field: 'strokeLengthMm', label: 'Stroke length', what: 'The stroke length', unit: 'mm', least: 0.1, most: 200 },
	{ field: 'strokesPerMin', label: 'Strokes', what: 'The stroke rate', unit: 'per minute', least: 1, most: 2000 },
	{ field: 'washWaterLPerMin', label: 'Wash water', what: 'The wash water', unit: 'L/min', least: 0, most: 10000 },
	{ field: 'feedRateKgPerH', label: 'Feed rate', what: 'The feed rate', unit: 'kg/h', least: 0.01, most: 1e6 },
] as const;

const DOSE = { least: 0, most: 1000, unit: 'mL/L' };

type Typed = Readonly<Record<string, string>>;

/** Read the run form; the entry counts only when there is no problem. */
export function readRunForm(typed: Typed): { entry: RunEntry; fields: FieldReader } {
	const fields = new FieldReader(typed);
	const knobs = Object.fromEntries(
		KNOBS.flatMap((knob) => {
			const value = fields.number(knob.field, knob.what, knob);
			return value === undefined ? [] : [[knob.field, value]];
		}),
	);
	const dose = fields.number('wettingAgentDoseMlPerL', 'The dose', DOSE);
	const entry = {
		name: fields.needed('name', 'Enter a name for the run'),
		runDate: readDay(fields, typed.runDate ?? ''),
		settings: {
			...knobs,
			wettingAgent: fields.text('wettingAgent', 120),
			...(dose === undefined ? {} : { wettingAgentDoseMlPerL: dose }),
			...(typed.filmOnDeck === 'yes' || typed.filmOnDeck === 'no' ? { filmOnDeck: typed.filmOnDeck === 'yes' } : {}),
			...(typed.firstAfterChange === 'yes' ? { firstAfterChange: true } : {}),
		},
		feed: readFeed(typed, fields),
		notes: fields.text('notes', 4000),
		material: fields.needed('material', 'Choose the material that photos are read with'),
	};
	return { entry, fields };
}

function readFeed(typed: Typed, fields: FieldReader): RunEntry['feed'] {
	const weighing = readWeighingForm(typed, fields, 'feed-');
	const loss = readWeighingForm({ ...typed, 'loss-moistureKind': 'dry' }, fields, 'loss-');
	const percent = { least: 0, most: 100, unit: '%' };
	const copper = fields.number('feedCopper', "The feed's copper", percent);
	const copperU = fields.number('feedCopperU', 'The uncertainty', { least: 0.01, most: 50, unit: 'points' });
	if (copper !== undefined && !fields.has('feedCopperU')) {
		fields.problem('feedCopperU', "Enter how far off the feed's copper may be, in points (one standard uncertainty)");
	}
	return {
		...(weighing === undefined ? {} : { weighing }),
		...(loss === undefined ? {} : { loss }),
		...(copper === undefined || copperU === undefined
			? {}
			: { grade: { copper: { value: copper / 100, u: copperU / 100 } } }),
	};
}

/** A run's entry from the form with what the form does not ask for, as it stood: a file may have brought it. */
export function withUnaskedFeed(entry: RunEntry, { scales, grade, weighing, loss }: RunEntry['feed']): RunEntry {
	const fed = withUnasked(entry.feed.weighing, weighing);
	const lost = withUnasked(entry.feed.loss, loss, false);
	const { copper: _, ...others } = grade ?? {};
	const shares = { ...others, ...entry.feed.grade };
	return {
		...entry,
		feed: {
			...(fed === undefined ? {} : { weighing: fed }),
			...(lost === undefined ? {} : { loss: lost }),
			...(Object.keys(shares).length === 0 ? {} : { grade: shares }),
			...(scales === undefined ? {} : { scales }),
		},
	};
}

/** Fields of the run form that mean something only together: a weighing's, and a grade with how far off it may be. */
export function runGroup(field: string): string {
	return /^(feed|loss)-/.exec(field)?.[1] ?? (field === 'feedCopperU' ? 'feedCopper' : field);
}

function readDay(fields: FieldReader, text: string): string {
	const isDay = /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(Date.parse(text));
	if (!isDay) fields.problem('runDate', 'Enter the date of the run');
	return text;
}

/** A run's entry as the form's fields show it again. */
export function typedRun(entry: RunEntry): Typed {
	const { settings, feed } = entry;
	const text = (value: number | undefined) => (value === undefined ? '' : printEntered(value));
	const percent = (value: number | undefined) => (value === undefined ? '' : printEntered(value * 100));
	return {
		name: entry.name,
		runDate: entry.runDate,
		...Object.fromEntries(KNOBS.map(({ field }) => [field, text(settings[field])])),
		wettingAgent: settings.wettingAgent ?? '',
		wettingAgentDoseMlPerL: text(settings.wettingAgentDoseMlPerL),
		filmOnDeck: settings.filmOnDeck === undefined ? '' : settings.filmOnDeck ? 'yes' : 'no',
		firstAfterChange: settings.firstAfterChange ? 'yes' : '',
		feedCopper: percent(feed.grade?.copper?.value),
		feedCopperU: percent(feed.grade?.copper?.u),
		notes: entry.notes,
		material: entry.material,
		...typedWeighing(feed.weighing, 'feed-'),
		...typedWeighing(feed.loss, 'loss-'),
	};
}
