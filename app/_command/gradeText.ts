import type { RunAccount } from '@/lib/balance/runAccount';
import type { GradeTables } from '@/lib/grade/gradeProduct';
import { GRADED, MATERIAL_CLASSES } from '@/lib/material/classes';
import { printMass, printShare } from '@/lib/report/format';
import {
	CLASS_NAMES,
	COVERAGE_SENTENCE,
	closureSentence,
	ESTIMATE_SENTENCE,
	GRADED_NAMES,
	printRecoveryBounds,
	recoverySentence,
	testSentence,
} from '@/lib/report/sentences';
import { checkedLines, explainedLines, sortingLines } from './explainText';
import type { GradedPhoto, PhotosResult } from './gradePhotos';
import type { GradedBin, RunResult } from './gradeRun';

/** What the command prints for photos of one product when no JSON is asked for. */
export function photosText({ photos, combined }: PhotosResult): string {
	const parts = photos.map((photo) => `${photo.photo}\n${photoText(photo)}`);
	if (combined !== undefined && photos.length > 1)
		parts.push(`All ${photos.length} spreads together\n${tablesText(combined)}`);
	return [...parts, `${ESTIMATE_SENTENCE} ${COVERAGE_SENTENCE}`].join('\n\n');
}

/** What the command prints for a run when no JSON is asked for. */
export function runText(result: RunResult, account: RunAccount): string {
	const { products, warnings, name } = result;
	return [
		name,
		...products.map(binText),
		[recoverySentence(account), closureSentence(account), testSentence(account)].filter(Boolean).join('\n'),
		...(warnings.length > 0 ? [warnings.map(({ message }) => `! ${message}`).join('\n')] : []),
		...[sortingLines(result), explainedLines(result)]
			.filter((lines) => lines.length > 0)
			.map((lines) => lines.join('\n')),
		`${ESTIMATE_SENTENCE} ${COVERAGE_SENTENCE}`,
	].join('\n\n');
}

function photoText({ surface, method, pxPerMm, warnings, ...tables }: GradedPhoto): string {
	const read = `  read on a ${surface} by ${method}, ${pxPerMm.toFixed(1)} pixels per mm`;
	return [read, tablesText(tables), ...warnings.map(({ message }) => `  ! ${message}`)].join('\n');
}

function tablesText({ areaFraction, massFraction, densityOnlyMassFraction }: GradeTables): string {
	const line = (name: string, ...cells: string[]) =>
		`  ${name.padEnd(24)}${cells.map((cell) => cell.padEnd(34)).join('')}`.trimEnd();
	return [
		line('', 'share of area'),
		...MATERIAL_CLASSES.map((name) => line(CLASS_NAMES[name], printShare(areaFraction[name]))),
		line('', 'share of dry mass', 'if all were equally thick'),
		...GRADED.map((name) =>
			line(GRADED_NAMES[name], printShare(massFraction[name]), printShare(densityOnlyMassFraction[name])),
		),
	].join('\n');
}

function binText(bin: GradedBin): string {
	const { name, role, photos, combined, dryMassKg, reconciled, recovery, yieldFraction } = bin;
	const warnings = photos.flatMap(({ photo, warnings: told }) => told.map(({ message }) => `  ! ${photo}: ${message}`));
	const mass = dryMassKg === undefined ? 'not weighed' : printMass(dryMassKg);
	const adjusted = reconciled.dryMassKg === undefined ? '' : `, reconciled ${printMass(reconciled.dryMassKg)}`;
	const shares = GRADED.flatMap((component) => {
		const grade = reconciled.massFraction[component];
		if (grade === undefined) return [];
		const share = recovery[component];
		const bounds = component === 'freeCopper' ? undefined : bin.recoveryBounds?.[component];
		const recovered = share ? printShare(share) : bounds ? printRecoveryBounds(bounds) : '';
		return [`  ${GRADED_NAMES[component].padEnd(16)}${printShare(grade).padEnd(34)}${recovered}`];
	});
	return [
		`${name} (${role})`,
		`  dry mass ${mass}${adjusted}${yieldFraction === undefined ? '' : `, yield ${printShare(yieldFraction)}`}`,
		...(combined === undefined ? ['  no photo graded: its grade is not known from photos'] : []),
		...checkedLines(bin),
		...(shares.length > 0 ? [`  ${''.padEnd(16)}${'reconciled grade'.padEnd(34)}recovery`, ...shares] : []),
		...(bin.carryOver === undefined ? [] : [`  ! ${bin.carryOver}`]),
		...warnings,
	].join('\n');
}
