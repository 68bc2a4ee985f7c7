import { contractLimitsSchema } from '@/lib/conformity/contractLimits';
import type { DecisionRule } from '@/lib/conformity/decide';
import { PUBLISHED_CLASSES } from '@/lib/conformity/publishedClasses';
import { printEntered, printKept } from '@/lib/report/format';
import type { RecordEntry } from '@/lib/store/makeRecord';
import { FieldReader } from './readFields';

/** Rules to choose from: guarded at a risk in per cent, or simple acceptance. */
export const RULES = ['1', '2.5', '5', '10', '20', 'simple'] as const;

/** Limits of a contract that the form asks for, with their places on the form. */
export const CONTRACT_FIELDS = [
	{ field: 'copperAtLeast', label: 'Copper, at least' },
	{ field: 'insulationAtMost', label: 'Insulation, at most' },
	{ field: 'aluminiumAtMost', label: 'Aluminium, at most' },
	{ field: 'otherAtMost', label: 'Other, at most' },
	{ field: 'foreignAtMost', label: 'Foreign (all that is not copper), at most' },
] as const;

const CLASS_IDS = ['none', ...PUBLISHED_CLASSES.map(({ id }) => id)];

/** Read the form that a record is made by; the entry counts only when there is no problem. */
export function readRecordForm(typed: Readonly<Record<string, string>>): { entry: RecordEntry; fields: FieldReader } {
	const fields = new FieldReader(typed);
	const rule = fields.choice('rule', RULES, 'Choose the decision rule');
	const classId = fields.choice('classId', CLASS_IDS, 'Choose a class, or none');
	const responsible = fields.text('responsible', 120);
	const scoops = fields.number('scoops', 'The number of scoops', { least: 1, most: 1000, unit: 'scoops' });
	if (scoops !== undefined && !Number.isInteger(scoops)) fields.problem('scoops', 'Enter a whole number of scoops');
	const entry: RecordEntry = {
		issuer: {
			name: fields.needed('issuer', 'Enter who issues the record', 120),
			...(responsible === '' ? {} : { responsible }),
		},
		sampling: {
			words: fields.needed('sampling', 'Say how the sample was taken', 300),
			...(scoops === undefined ? {} : { scoops }),
		},
		rule: ruleOf(rule),
		classId: classId === 'none' ? undefined : classId,
		contract: readContract(fields),
	};
	return { entry, fields };
}

function ruleOf(chosen: (typeof RULES)[number]): DecisionRule {
	return chosen === 'simple' ? { kind: 'simple' } : { kind: 'guarded', risk: Number(chosen) / 100 };
}

/** Limits of a contract where any was typed. */
function readContract(fields: FieldReader): RecordEntry['contract'] {
	const limits = Object.fromEntries(
		CONTRACT_FIELDS.flatMap(({ field, label }) => {
			const percent = fields.number(field, label, { least: 0.01, most: 99.99, unit: '%' });
			return percent === undefined ? [] : [[field, percent / 100]];
		}),
	);
	if (Object.keys(limits).length === 0) {
		if (fields.has('contractName')) fields.problem('copperAtLeast', 'Enter at least one limit of the contract');
		return undefined;
	}
	const name = fields.needed('contractName', 'Enter what the contract is called');
	const year = fields.needed('contractYear', 'Enter the year of the contract', 4);
	const parsed = contractLimitsSchema.safeParse({ name, year, ...limits });
	if (parsed.success) return parsed.data;
	if (name !== '' && year !== '') fields.problem('contractYear', 'Write the year of the contract with four digits');
	return undefined;
}

/** An earlier entry as it goes back into the form. */
export function typedRecord({ issuer, sampling, rule, classId, contract }: RecordEntry): Record<string, string> {
	return {
		issuer: issuer.name,
		responsible: issuer.responsible ?? '',
		sampling: sampling.words,
		scoops: '',
		rule: rule.kind === 'simple' ? 'simple' : printKept(100 * rule.risk),
		classId: classId ?? 'none',
		...(contract === undefined ? {} : { contractName: contract.name, contractYear: contract.year }),
		...Object.fromEntries(
			CONTRACT_FIELDS.flatMap(({ field }) => {
				const share = contract?.[field];
				return share === undefined ? [] : [[field, printEntered(100 * share)]];
			}),
		),
	};
}
