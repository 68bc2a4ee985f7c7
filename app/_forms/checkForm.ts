import { type CheckInput, checkSchema } from '@/lib/grade/checkEntry';
import { MATERIAL_CLASSES, perClass } from '@/lib/material/classes';
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
		fields.problem(field, missing ? 'Enter this value' : message);
	}
	return undefined;
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
