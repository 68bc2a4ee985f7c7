import { GRADED } from '../material/classes';
import { type CsvCell, csvOf, rangeCells } from './exportCsv';
import { limitWords } from './format';
import type { CleanlinessRecord, SealedRecord } from './recordSchema';
import { limitText } from './recordSentences';
import { plainEstimate, type RecordSheet } from './recordSheet';
import { GRADED_NAMES } from './sentences';

/** The record's data file: what is sealed and the seal, laid out for reading; line breaks and blanks are not part of the seal. */
export function recordJson(sealed: SealedRecord): string {
	return `${JSON.stringify(sealed, null, 2)}\n`;
}

/** A record as a table for a buyer's own files: one line a fact or figure, figures unrounded, shares as fractions, masses in kg. */
export function recordCsv({ record, seal }: SealedRecord, sheet: RecordSheet): string {
	const header = ['part', 'name', 'value', 'low', 'high', 'unit', 'words'];
	const words = (part: string, name: string, text: string): CsvCell[] => {
		const empty = undefined;
		return [part, name, empty, empty, empty, empty, text];
	};
	return csvOf(header, [
		words('record', 'number', record.number),
		...sheet.notices.map((notice) => words('record', 'state', notice)),
		...sheet.facts.map(({ name, text }) => words('record', name, text)),
		...massLines(record),
		...GRADED.map((name): CsvCell[] => {
			const share = record.composition[name];
			const text = share.belowDetectionLimit === true ? limitWords(plainEstimate(share)) : '';
			return ['composition', GRADED_NAMES[name], ...rangeCells(plainEstimate(share)), 'fraction', text];
		}),
		words('standing', 'rule', sheet.rule),
		...record.standings.flatMap((standing, s) => [
			...standing.limits.map((limit, i): CsvCell[] => {
				const line = sheet.standings[s]?.lines[i];
				return [
					'standing',
					`${standing.name}: ${limitText(limit)}`,
					...rangeCells(plainEstimate(limit.measured)),
					'fraction',
					`${line?.verdict ?? ''}; chance ${line?.chance ?? ''}; ${line?.source ?? ''}`,
				];
			}),
			...(sheet.standings[s]?.notes ?? []).map((note) => words('standing', standing.name, note)),
		]),
		...sheet.method.map((line) => words('method', 'method', line)),
		...sheet.checks.map((line) => words('checks', 'check', line)),
		...sheet.corrections.map((line) => words('corrections', 'correction', line)),
		...sheet.warnings.map((line) => words('warnings', 'warning', line)),
		words('limits of the record', 'not looked for', sheet.notLookedFor),
		...sheet.cautions.map((line) => words('limits of the record', 'caution', line)),
		...record.photos.map(({ spread, sha256 }) => words('photos', `spread ${spread}, SHA-256`, sha256)),
		...sheet.seal.lines.map((line) => words('seal', 'seal', line)),
		words('seal', 'signature', seal.signature),
	]);
}

function massLines({ dryMassKg }: CleanlinessRecord): CsvCell[][] {
	if (dryMassKg === undefined) return [];
	return [['record', 'dry mass', dryMassKg.value, dryMassKg.low, dryMassKg.high, 'kg', '']];
}

/** A record as plain text, for the command line. */
export function recordText(sheet: RecordSheet): string {
	const block = (title: string, lines: readonly string[]) => [title, ...lines.map((line) => `  ${line}`)].join('\n');
	return [
		[`${sheet.title} ${sheet.number}`, sheet.lead, ...sheet.notices.map((notice) => `! ${notice}`)].join('\n'),
		sheet.facts.map(({ name, text }) => `${name.padEnd(12)}${text}`).join('\n'),
		block(
			`Composition, shares of the dry mass. ${sheet.coverage}`,
			sheet.composition.map(({ name, share }) => `${name.padEnd(14)}${share}`),
		),
		block('Against the limits', [sheet.rule]),
		...sheet.standings.map(({ title, lines, notes }) =>
			block(title, [
				...lines.map(({ limit, measured, chance, verdict }) => `${limit}: ${measured}; chance ${chance}. ${verdict}`),
				...notes,
			]),
		),
		block('Method', sheet.method),
		block('Checks by hand', sheet.checks),
		block('Corrections by hand', sheet.corrections),
		block('Warnings', sheet.warnings),
		[sheet.notLookedFor, ...sheet.cautions].join('\n'),
		sheet.seal.lines.join('\n'),
	].join('\n\n');
}
