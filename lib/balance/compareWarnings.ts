import { listed } from './accountWarnings';
import type { ComparableRun } from './compareRuns';

/** What keeps two runs from being compared, or weakens what their comparison says, in plain sentences. */
export function cannotCompareOf(base: ComparableRun, other: ComparableRun): readonly string[] {
	return [
		...differentOrigins(base, other),
		...[base, other].flatMap(({ name, ofPhotos = [] }) => ofPhotos.map((sentence) => `${name}: ${sentence}`)),
		...[base, other].flatMap(carriedOver),
		...[base, other].flatMap(missingOf),
		...[base, other].flatMap(disagreementOf),
		...[base, other].flatMap(impossibleOf),
	];
}

function differentOrigins(base: ComparableRun, other: ComparableRun): string[] {
	const found: string[] = [];
	if (!isOneLot(base, other)) {
		const second = base.lot === other.lot ? 'another lot of that name' : lotName(other);
		found.push(
			`${base.name} was fed from ${lotName(base)}, ${other.name} from ${second}: the difference holds that of ` +
				'the lots as well as that of the settings.',
		);
	}
	if (base.material !== other.material) {
		found.push(
			`${base.name} and ${other.name} were read with different materials, so errors of density and colour don't cancel ` +
				'and the ranges are wide. Read both with one material.',
		);
	}
	return found;
}

/** Runs were fed from one lot: of one name, and the same where more is known of it than the name. */
function isOneLot(one: Pick<ComparableRun, 'lot' | 'lotMark'>, other: Pick<ComparableRun, 'lot' | 'lotMark'>): boolean {
	return one.lot === other.lot && one.lotMark === other.lotMark;
}

function lotName({ lot }: ComparableRun): string {
	return lot === undefined ? 'a lot without a name' : `lot ${lot}`;
}

/** What was left from before is in the first run after a change. */
function carriedOver({ name, firstAfterChange }: ComparableRun): string[] {
	if (firstAfterChange !== true) return [];
	return [
		`${name} was the first run after a change and the table was not washed through: what was left from before is in its ` +
			'bins, so part of the difference may be carry-over.',
	];
}

/** A stream without a weight or a grade leaves recoveries open. */
function missingOf({ name, account }: ComparableRun): string[] {
	const { products, feed } = account;
	const unweighed = products
		.filter(({ dryMassKg }) => dryMassKg.reconciled === undefined)
		.map((product) => product.name);
	const ungraded = products
		.filter(({ massFraction }) => massFraction.reconciled.copper === undefined)
		.map((product) => product.name);
	const worked = products
		.filter(({ dryMassKg }) => dryMassKg.reconciled !== undefined && dryMassKg.measured === undefined)
		.map((product) => product.name);
	const otherGrades = ungraded.length === 0 ? 'grades' : 'the other grades';
	const grades = ungraded.length === products.length ? [] : [otherGrades];
	return [
		...(unweighed.length === 0
			? []
			: [
					`${name} has no weight of ${listed(unweighed)}${feed.massOrigin === 'weighed' ? '' : ' and none of the feed'}: its ` +
						`yields and recoveries can't be compared${stillCan(grades)}`,
				]),
		...(ungraded.length === 0
			? []
			: [
					`${name} has no copper grade of ${listed(ungraded)}: its recoveries can't be compared` +
						stillCan([...(unweighed.length === 0 ? ['yields'] : []), ...grades]),
				]),
		...(ungraded.length > 0 || account.loss === undefined || account.loss.massFraction.reconciled.copper !== undefined
			? []
			: [
					`What the stated loss of ${name} held is not known: its recoveries can't be compared${stillCan(['yields', 'grades'])}`,
				]),
		...(worked.length === 0
			? []
			: [`${name} has no weight of ${listed(worked)}; it was worked out from the feed's weight.`]),
	];
}

/** The end of a sentence on what can't be compared. */
function stillCan(names: readonly string[]): string {
	return names.length === 0 ? '.' : `; ${listed(names)} still can.`;
}

function disagreementOf({ name, account }: ComparableRun): string[] {
	if (account.probability === undefined || account.probability >= 0.05) return [];
	if (account.isPartMissing)
		return [
			`Much of what ${name} was fed is in no bin: its recoveries can't be compared${stillCan(['yields', 'grades'])}`,
		];
	return [
		`The balance of ${name} does not close within its uncertainties. What disagrees was widened until the misfit is no ` +
			'surprise, and with it the differences; find the cause before relying on them.',
	];
}

/** Products that hold more of a component than the feed did, as measured. */
function impossibleOf({ name, account }: ComparableRun): string[] {
	const closure = account.componentClosure.copper;
	if (closure === undefined || closure.value <= 1) return [];
	return [
		`As measured, the products of ${name} hold ${Math.round(closure.value * 100)} % of the feed's copper, more than went ` +
			'in. Reconciling spread the disagreement over weights and grades; recoveries compared here are the reconciled ones.',
	];
}
