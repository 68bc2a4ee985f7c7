import { type CheckInput, checkSchema } from '@/lib/grade/checkEntry';
import { MATERIAL_CLASSES, perClass } from '@/lib/material/classes';
import { CLASS_NAMES } from '@/lib/report/sentences';
import type { FieldReader } from './readFields';

type Typed = Readonly<Record<string, string>>;

/** Fields of each kind of check, named as in the schema; a hand sort's piles stand under `pile-` and the class. */
const FIELDS = {
	strip: ['picks', 'before', 'copper'],
	displacement: ['dry', 'displacedMl', 'stepMl', 'suspended', 'waterC'],
	magnet: ['sample', 'pulled'],
	assay: ['share', 'u', 'laboratory'],
} as const;
const KINDS = ['handSort', 'blank', 'strip', 'displacement', 'magnet', 'moisture', 'assay'] as const;

/** Fields that are per cent on the form. */
const PERCENT: readonly string[] = ['share', 'u'];

/**
 * Read a check from its form; every problem is noted at its field.
 *
 * @returns undefined when a problem was noted
 */
export function readCheckForm(typed: Typed, fields: FieldReader): CheckInput | undefined {
	const kind = fields.choice('kind', KINDS, 'Choose what kind of check it is');
	const entry =
		kind === 'handSort'
			? { kind, spread: 1, piles: pilesOf(typed) }
			: kind === 'blank'
				? { kind, spread: 1 }
				: kind === 'moisture'
					? { kind, ...filled({ wet: typed.subWet ?? '', dry: typed.subDry ?? '' }, ['wet', 'dry']) }
					: { kind, ...filled(typed, FIELDS[kind]) };
	const parsed = checkSchema.safeParse(entry);
	if (parsed.success) return entry as CheckInput; // the schema took it
	for (const { path, message } of parsed.error.issues) {
		const [first, second] = path.map(String);
		const field = first === 'piles' && second !== undefined ? `pile-${second}` : fieldOf(kind, first ?? '');
		const missing = field !== '' && (typed[field] ?? '').trim() === '';
		fields.problem(field, missing ? (NEEDED[field] ?? message) : pileNamed(message, second));
	}
	return undefined;
}

/** Asked for where a field was left empty. */
const NEEDED: Readonly<Record<string, string>> = {
	subWet: 'Enter the weight wet',
	subDry: 'Enter the weight dry',
	picks: 'Enter how many pieces were taken',
	before: 'Enter the weight before stripping',
	copper: 'Enter the copper found, 0 if there was none',
	dry: 'Enter the dry weight',
	sample: 'Enter the weight of the sample',
	pulled: 'Enter the weight pulled out, 0 if nothing stuck',
	share: 'Enter the copper in per cent',
	u: 'Enter its standard uncertainty',
};

/** Which of the piles a sentence of lib is about. */
function pileNamed(message: string, pile: string | undefined): string {
	const name = MATERIAL_CLASSES.find((one) => one === pile);
	return name === undefined ? message : message.replace('of a pile', `of ${CLASS_NAMES[name].toLowerCase()}`);
}

/** Fields of two forms on one page need names of their own: a sub-sample's weights stand beside those of the displacement. */
function fieldOf(kind: string, name: string): string {
	if (kind !== 'moisture') return name;
	return name === 'wet' ? 'subWet' : name === 'dry' ? 'subDry' : name;
}

/** The field that says which spread a check is about. */
export function spreadFieldOf(kind: string): string {
	return kind === 'blank' ? 'blankId' : 'spreadId';
}

function pilesOf(typed: Typed): Record<string, string> {
	return filled(
		perClass((name) => typed[`pile-${name}`] ?? ''),
		MATERIAL_CLASSES,
	);
}

/** The fields that were filled in; per cent get their sign. */
function filled(typed: Typed, names: readonly string[]): Record<string, string> {
	return Object.fromEntries(
		names.flatMap((name) => {
			const text = (typed[name] ?? '').trim();
			if (text === '') return [];
			return [[name, PERCENT.includes(name) && !text.includes('%') ? `${text} %` : text]];
		}),
	);
}
