import { COMPONENTS } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import type { BalanceWarning } from './balanceWarning';
import { isFarFromClosing } from './closure';
import type { Conserved } from './conserve';
import type { RunAccount } from './runAccount';

/** Everything about the account that its reader must know, gravest first. */
export function warningsOf(account: Omit<RunAccount, 'warnings'>, conserved: Conserved): readonly BalanceWarning[] {
	return [
		...closureWarnings(account),
		...heavierThanFeed(account, conserved),
		...oneRoleOnly(account),
		...missingWeights(account),
		...weightsOfNothing(account),
		...missingGrades(account),
		...impossibleRecoveries(account, conserved),
	];
}

function closureWarnings(account: Omit<RunAccount, 'warnings'>): BalanceWarning[] {
	const { probability, mostSuspicious, misfitRatio = 1, isPartMissing } = account;
	if (probability === undefined || probability >= 0.05) return [];
	const { gap, lookFor } = disagreementOf(account);
	const chance = probability < 0.001 ? 'less than 0.1 %' : `${(100 * probability).toFixed(1)} %`;
	const widened = `the uncertainty of what disagrees counts ${misfitRatio.toFixed(1)} times as stated`;
	const limits = 'recoveries are given as limits, which hold with any one weight misread';
	const isLimited = Object.values(account.together).some(({ recoveryBounds }) => recoveryBounds !== undefined);
	const whatHolds = isPartMissing
		? `${limits}, and with what is missing holding none of the metal, or nothing else.`
		: `${widened}${isLimited && isFarFromClosing(account) ? `, and ${limits}` : ''}.`;
	return [
		{
			code: 'balance-does-not-close',
			message:
				`${gap}; their stated uncertainties explain that in ${chance} of cases. ` +
				`Look for ${lookFor} before relying on these figures: ` +
				`until it is found, ${whatHolds} ${mostSuspicious?.sentence ?? ''}`.trimEnd(),
		},
	];
}

/** Where there is no bin but those of one kind: how much of the feed's copper they hold is not told by them alone. */
function oneRoleOnly({ products, feed, loss, together }: Omit<RunAccount, 'warnings'>): BalanceWarning[] {
	const [role, another] = [...new Set(products.map((product) => product.role))];
	const isTold = feed.dryMassKg.measured === undefined || feed.gradeOrigin === 'measured' || loss !== undefined;
	if (role === undefined || another !== undefined || isTold || together[role]?.massFraction.copper === undefined)
		return [];
	return [
		{
			code: 'one-kind-only',
			message:
				`There is no bin but ${role === 'concentrate' ? 'concentrates' : role}, so how much of the feed's copper they hold can't be told. ` +
				'Add the other bins, also those that are thrown away, and weigh and photograph them.',
		},
	];
}

/** Where bins are still to be weighed the closure tells nothing, and yet those that were can't hold more than was fed. */
function heavierThanFeed(
	{ closure, feed, products }: Omit<RunAccount, 'warnings'>,
	{ heldAtZero }: Conserved,
): BalanceWarning[] {
	const fed = feed.dryMassKg.measured;
	const isToldOtherwise = closure !== undefined || heldAtZero.some(isWholeStream);
	if (fed === undefined || isToldOtherwise) return [];
	const weighed = products.flatMap(({ name, dryMassKg: { measured } }) =>
		measured === undefined ? [] : [{ name, measured }],
	);
	const sum = (end: 'value' | 'low') => weighed.reduce((total, { measured }) => total + measured[end], 0);
	if (!(sum('low') > fed.high)) return [];
	const weigh = weighed.length === 1 ? 'weighs' : 'together weigh';
	const check = weighed.length === 1 ? 'both weights' : 'the weights';
	return [
		{
			code: 'heavier-than-feed',
			message:
				`${listed(weighed.map(({ name }) => name))} ${weigh} more (${kg(sum('value'))}) than the feed (${kg(fed.value)}). ` +
				`Check ${check}.`,
			products: weighed.map(({ name }) => name),
		},
	];
}

/** What disagrees, told by the closures that leave out the whole: the weights first, then a component, else neither alone. */
function disagreementOf({ unaccountedKg, closure, componentClosure }: Omit<RunAccount, 'warnings'>): {
	readonly gap: string;
	readonly lookFor: string;
} {
	const leavesOutAll = (one: { readonly low: number; readonly high: number }) => one.low > 1 || one.high < 1;
	if (closure !== undefined && unaccountedKg !== undefined && leavesOutAll(closure)) {
		const amount = `${kg(Math.abs(unaccountedKg.value))} ${unaccountedKg.value < 0 ? 'too much' : 'missing'}`;
		return {
			gap: `Products and stated loss weigh ${percent(closure.value)} of the feed (${amount})`,
			lookFor: `${unaccountedKg.value < 0 ? '' : 'a bin that was left out, lost slime or floats, '}wet weights or a wrong tare`,
		};
	}
	const lookFor = "a feed sample that does not stand for the feed, a product's grade that is off, or a wrong weight";
	for (const component of COMPONENTS) {
		const own = componentClosure[component];
		if (own === undefined || !leavesOutAll(own)) continue;
		const weights = closure === undefined ? '' : 'Weights agree, but ';
		return { gap: capital(`${weights}products hold ${percent(own.value)} of the feed's ${component}`), lookFor };
	}
	return { gap: 'Weights and grades disagree', lookFor };
}

function capital(text: string): string {
	return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A weight whose range ends so many times above where it begins is hardly known. Our choice. */
const HARDLY_TOLD = 10;

/** Whether a weight that was worked out is as good as unknown. */
export function isHardlyTold(massKg: Estimate | undefined): boolean {
	return massKg === undefined || massKg.high > HARDLY_TOLD * massKg.low || massKg.value <= 0;
}

function missingWeights({ feed, products }: Omit<RunAccount, 'warnings'>): BalanceWarning[] {
	const warnings: BalanceWarning[] = [];
	const unweighed = products.filter(({ dryMassKg }) => dryMassKg.measured === undefined);
	if (feed.massOrigin === 'sum-of-products') {
		warnings.push({
			code: 'feed-not-weighed',
			message: 'The feed has no weight, so it is taken as the sum of what left; whether the run closes cannot be told.',
		});
	}
	const unknown = unweighed.filter(({ dryMassKg }) => dryMassKg.reconciled === undefined).map(({ name }) => name);
	if (unknown.length > 0) warnings.push({ code: 'mass-unknown', message: unknownWeights(unknown), products: unknown });
	for (const { name, dryMassKg } of unweighed) {
		if (dryMassKg.reconciled === undefined) continue;
		warnings.push({
			code: 'mass-by-difference',
			message:
				`${name} has no weight; it was worked out from the other streams, so any loss counts as ${name}.` +
				(isHardlyTold(dryMassKg.reconciled)
					? ` That hardly tells its weight: it is ${kg(dryMassKg.reconciled.high)} at most. Weigh it.`
					: ''),
			products: [name],
		});
	}
	return warnings;
}

/** A bin that something was photographed from holds something: a nought typed by a slip would take its metal out of the balance. */
function weightsOfNothing({ products }: Omit<RunAccount, 'warnings'>): BalanceWarning[] {
	return products
		.filter(
			({ dryMassKg, massFraction }) =>
				(dryMassKg.measured?.low ?? 1) <= 0 && massFraction.measured.copper !== undefined,
		)
		.map(({ name }) => ({
			code: 'mass-nought',
			message: `${name} was photographed, but by its weight there may be nothing in it. Check its weight, or weigh it on a finer scale.`,
			products: [name],
		}));
}

function unknownWeights(names: readonly string[]): string {
	return names.length === 1
		? `${listed(names)} has no weight and nothing else gives it, so its yield and all recoveries stay unknown; grades stand. Weigh it, or remove it if the table has no such bin.`
		: `${listed(names)} have no weight and nothing else gives them, so their yields and all recoveries stay unknown; grades stand. Weigh them, or remove those that the table does not have.`;
}

function missingGrades({ products, loss }: Omit<RunAccount, 'warnings'>): BalanceWarning[] {
	const bare = products.filter(({ massFraction }) => massFraction.measured.copper === undefined);
	const unknown = bare.filter(({ massFraction }) => massFraction.reconciled.copper === undefined);
	// then all recoveries are unknown, which is told of the weight
	const isAnyUnweighed = products.some(({ dryMassKg }) => dryMassKg.reconciled === undefined);
	const byDifference = bare.filter(({ massFraction }) => massFraction.reconciled.copper !== undefined);
	return [
		...(unknown.length === 0
			? []
			: [
					{
						code: 'grade-unknown',
						message: unknownGrades(unknown, !isAnyUnweighed && unknown.length < products.length),
						products: unknown.map(({ name }) => name),
					},
				]),
		...(unknown.length > 0 || isAnyUnweighed || loss === undefined || loss.massFraction.reconciled.copper !== undefined
			? []
			: [{ code: 'loss-ungraded', message: LOSS_UNGRADED }]),
		...byDifference.map(({ name }) => ({
			code: 'grade-by-difference',
			message: `No photo of ${name} has been read; its grade was worked out as what the feed holds and the other products don't.`,
			products: [name],
		})),
	];
}

const LOSS_UNGRADED =
	'What the stated loss held is not known. Recoveries are given as limits: as if it held none of the metal, and as if it were all metal. ' +
	"A laboratory's grade of the feed tells it.";

function unknownGrades(unknown: RunAccount['products'], areOthersLimited: boolean): string {
	const names = listed(unknown.map(({ name }) => name));
	const first =
		unknown.length === 1
			? `No photo of ${names} has been read, so its grade is unknown.`
			: `No photos of ${names} have been read, so their grades are unknown.`;
	if (!areOthersLimited)
		return `${first} ${unknown.length === 1 ? 'It' : 'Each'} needs a spread, photographed and read.`;
	const [held, were] = unknown.length === 1 ? [`${names} held`, 'it were'] : ['they held', 'they were'];
	return `${first} Recoveries of the others are given as limits: as if ${held} none of the metal, and as if ${were} all metal.`;
}

/** `A, B and C` */
export function listed(names: readonly string[]): string {
	return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}

function impossibleRecoveries(
	{ componentClosure }: Omit<RunAccount, 'warnings'>,
	{ heldAtZero, layout }: Conserved,
): BalanceWarning[] {
	const warnings: BalanceWarning[] = [];
	for (const component of COMPONENTS) {
		const closure = componentClosure[component];
		if (closure === undefined || closure.value <= 1) continue;
		warnings.push({
			code: 'more-than-fed',
			message:
				`Before reconciling, the products hold ${percent(closure.value)} of the feed's ${component} ` +
				`(${percent(closure.low)} to ${percent(closure.high)}). No recovery can pass 100 %; the reconciled figures spread the excess.`,
		});
	}
	return [...warnings, ...heldWarnings(heldAtZero, layout)];
}

/** Components after `no`. */
const HELD_NAMES = COMPONENTS.map((name) => (name === 'other' ? 'other material' : name));

function isWholeStream({ component, isRest, isOthers }: Conserved['heldAtZero'][number]): boolean {
	return component === undefined && isRest !== true && isOthers !== true;
}

/** What other measurements leave less than nothing for; a stream for which they leave nothing at all is told once. */
function heldWarnings(all: Conserved['heldAtZero'], { streams }: Conserved['layout']): BalanceWarning[] {
	const held = all.filter(({ isOthers }) => isOthers !== true);
	const isWhole = (stream: number) =>
		held.some((one) => one.stream === stream && isWholeStream(one)) ||
		COMPONENTS.every((_, k) => held.some((one) => one.stream === stream && one.component === k));
	const ofStreams = streams.flatMap(({ key, label }, s): BalanceWarning[] => {
		const about = key.startsWith('product:') ? { products: [label] } : {};
		const told = (message: string) => ({ code: 'held-at-nothing', message, ...about });
		if (isWhole(s)) {
			return [
				told(
					`The other weights leave less than nothing for ${label}; it is held at nothing. Check the weights that disagree.`,
				),
			];
		}
		return held
			.filter(({ stream }) => stream === s)
			.map(({ component }) =>
				component === undefined
					? told(
							`The other measurements leave more metal for ${label} than it weighs; it is held at its weight. Check the grades that disagree.`,
						)
					: told(
							`The other measurements leave less than no ${HELD_NAMES[component]} for ${label}; it is held at nothing. Check the grades that disagree.`,
						),
			);
	});
	return [...ofStreams, ...all.flatMap(othersWarning)];
}

/** By weight this is told by `heavierThanFeed`. */
function othersWarning({ component, isOthers }: Conserved['heldAtZero'][number]): BalanceWarning[] {
	if (isOthers !== true || component === undefined) return [];
	const message =
		`The bins whose content is known hold more ${HELD_NAMES[component]} than the feed, so none is left for the others. ` +
		'Check the grades that disagree.';
	return [{ code: 'held-at-nothing', message }];
}

function percent(fraction: number): string {
	return `${Number((fraction * 100).toPrecision(3))} %`;
}

function kg(massKg: number): string {
	return `${Number(massKg.toPrecision(2))} kg`;
}
