import { listed } from '../balance/accountWarnings';
import { isFarFromClosing } from '../balance/closure';
import type { Bounds, ProductAccount, RunAccount } from '../balance/runAccount';
import { CLASS_WORDS, type Graded, type ProductRole, perClass } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import { isUntold, printMass, printNumber, printPercent, printRatioPercent, printShare } from './format';

/** Said once on every page that shows a range. */
export const COVERAGE_SENTENCE = 'Ranges hold the true value 95 times in 100.';

/** Said wherever a grade stands. */
export const ESTIMATE_SENTENCE = 'Estimated from photos and weights: an estimate, not an assay.';

/** Said wherever figures of invented runs leave the program. */
export const DEMONSTRATION_SENTENCE =
	'Demonstration: invented, rendered pictures. No real yard, lot or run stands behind it.';

/** Graded components as written on screens. */
export const GRADED_NAMES: Readonly<Record<Graded, string>> = {
	copper: 'Copper',
	freeCopper: 'Free copper',
	aluminium: 'Aluminium',
	insulation: 'Insulation',
	other: 'Other',
};

/** What a component's figure covers, for the line under a table's head. */
export const GRADED_NOTES: Readonly<Record<Graded, string>> = {
	copper:
		'All metallic copper: bright wire, the copper of tinned wire, and what is estimated to be locked in insulation.',
	freeCopper: 'Copper without the part locked in insulation: what a photo can see.',
	aluminium: 'Aluminium pieces.',
	insulation: 'Plastic and rubber, without any copper inside.',
	other: 'Steel, brass, grit and all the rest.',
};

/** Classes of pieces as written on screens. */
export const CLASS_NAMES = perClass((name) => CLASS_WORDS[name].replace(/^./, (first) => first.toUpperCase()));

/** Roles of products as written on screens. */
export const ROLE_NAMES: Readonly<Record<ProductRole, string>> = {
	concentrate: 'Concentrate',
	middlings: 'Middlings',
	tailings: 'Tailings',
};

/** `Copper 96 % (94 to 98).` first, the other parts after it, those below detection in one sentence at the end. */
export function gradeSentences(massFraction: Readonly<Record<Graded, Estimate>>): readonly string[] {
	const others = (['insulation', 'aluminium', 'other'] as const).map((name) => ({ name, share: massFraction[name] }));
	const isMissing = (share: Estimate) => share.belowDetectionLimit === true && !isUntold(share);
	const seen = others.filter(({ share }) => !isMissing(share));
	const missing = others.filter(({ share }) => isMissing(share)).map(({ name }) => GRADED_NAMES[name]);
	const first = missing[0];
	return [
		`${GRADED_NAMES.copper} ${printShare(massFraction.copper)}.`,
		...seen.map(({ name, share }) => `${GRADED_NAMES[name]} ${printShare(share)}.`),
		...(first === undefined ? [] : [`${[first, ...missing.slice(1).map(lowerFirst)].join(', ')}: below detection.`]),
	];
}

/**
 * `Copper recovered in the concentrates: 91 % (87 to 95).`, or what can be said of it while bins are not weighed, photographed or entered;
 * undefined without concentrates and while nothing is graded.
 */
export function recoverySentence(account: RunAccount): string | undefined {
	const { together, products, closure, loss } = account;
	const group = together.concentrate;
	if (group === undefined || products.every(({ massFraction }) => massFraction.reconciled.copper === undefined))
		return undefined;
	const recovery = group.recovery.copper;
	// nothing says that what left is all that was fed
	const unless = closure !== undefined ? '' : `, if nothing ${loss === undefined ? '' : 'else '}was lost`;
	if (recovery !== undefined) return `${RECOVERED}: ${printShare(recovery)}${unless}.`;
	const bounds = group.recoveryBounds?.copper;
	const limits = bounds === undefined ? notKnown : printRecoveryBounds(bounds);
	return `${RECOVERED}: ${limits}${limits === notKnown ? '' : '; no more is known'}${withoutWhich(account)}.`;
}

const RECOVERED = 'Copper recovered in the concentrates';

/** Limits of a recovery, rounded outwards: `between 5 and 82 %`, `82 % at most`. */
export function printRecoveryBounds({ low, high }: Bounds): string {
	const [least, most] = [Math.floor(100 * low), Math.ceil(100 * high)];
	if (least <= 0 && most >= 100) return notKnown;
	if (least <= 0) return `${printPercent(most / 100)} at most`;
	return most >= 100 ? `${printPercent(least / 100)} at least` : `between ${least} and ${printPercent(most / 100)}`;
}

/** What would tell more of a recovery. */
function withoutWhich({ products, unaccountedKg, loss, ...account }: RunAccount): string {
	const without = (of: (product: ProductAccount) => unknown, what: string) => {
		const open = products.filter((product) => of(product) === undefined).map(({ name }) => name);
		return open.length === 0 ? [] : [`a ${what} of ${listed(open)}`];
	};
	const missing = [
		...without(({ dryMassKg }) => dryMassKg.reconciled, 'weight'),
		...without(({ massFraction }) => massFraction.reconciled.copper ?? massFraction.measured.copper, 'photo'),
	];
	if (missing.length > 0) return ` without ${missing.join(' and ')}`;
	const empty = products.filter(({ massFraction }) => massFraction.reconciled.copper === undefined);
	if (empty.length > 0) return `, since by its weight there may be nothing in ${listed(empty.map(({ name }) => name))}`;
	if (unaccountedKg !== undefined && isFarFromClosing(account)) {
		const { value, low, high } = unaccountedKg;
		return value > 0
			? `, since ${printMass(unaccountedKg)} of the feed is in no bin`
			: `, since the bins weigh ${printMass({ value: -value, low: -high, high: -low })} more than the feed`;
	}
	return loss === undefined ? ', since there is no other bin' : ', since what was lost has no grade';
}

/** The same words within a sentence. */
export function lowerFirst(text: string): string {
	return text.charAt(0).toLowerCase() + text.slice(1);
}

/** `Products weigh 97.8 % (97.1 to 98.5) of the feed; 0.55 kg (0.40 to 0.70) is not accounted for.` */
export function closureSentence({ closure, unaccountedKg }: RunAccount): string {
	if (closure === undefined) {
		return 'Closure is not known yet: weigh the feed and every product to compare them.';
	}
	const first = `Products weigh ${printRatioPercent(closure)} of the feed`;
	if (unaccountedKg === undefined) return `${first}.`;
	const { value, low, high } = unaccountedKg;
	const more = { value: -value, low: -high, high: -low };
	if (low <= 0 && high >= 0) {
		return `${first}; the difference, ${printMass(value < 0 ? more : unaccountedKg)}, is no more than the weights leave open.`;
	}
	return `${first}; ${value > 0 ? `${printMass(unaccountedKg)} is not accounted for` : `${printMass(more)} more is in the bins than was fed`}.`;
}

/** The global test in words, the number beside them. */
export function testSentence({ chiSquare, degreesOfFreedom, probability }: RunAccount): string {
	if (probability === undefined) return 'Nothing was measured twice, so there is nothing to test yet.';
	const number = `chi-square ${printNumber(chiSquare, 1)} for ${degreesOfFreedom} ${degreesOfFreedom === 1 ? 'check' : 'checks'}, probability ${printProbability(probability)}`;
	return probability < 0.05
		? `The measurements do not agree with each other within their uncertainties (${number}). One of them is probably wrong.`
		: `The measurements agree with each other within their uncertainties (${number}).`;
}

/** A probability: per cent, and no finer than is worth telling. */
export function printProbability(probability: number): string {
	return probability < 0.001 ? `under ${printPercent(0.001, 1)}` : printPercent(probability, probability < 0.1 ? 1 : 0);
}

/** Stands where a figure cannot be given. */
export const notKnown = 'not known';

/** Which measurement to look at first when the test fails. */
export function suspicionSentence({ sentence }: NonNullable<RunAccount['mostSuspicious']>): string {
	return sentence;
}

/** Surfaces as written on screens. */
export const SURFACE_NAMES: Readonly<Record<'mat' | 'tray', string>> = { mat: 'Spread mat', tray: 'Plain tray' };

/** Methods as written on screens. */
export const METHOD_NAMES: Readonly<Record<'threshold' | 'model', string>> = {
	threshold: 'Colour thresholds of the material',
	model: 'Trained model',
};

/** Shape models as written on screens. */
export const SHAPE_NAMES: Readonly<Record<'wire' | 'flake' | 'granule', string>> = {
	wire: 'lying wire',
	flake: 'flake or wire',
	granule: 'granule',
};

/** How the light was taken out of a photo, with how well that went where it can be told. */
export function lightSentence({ source, residual }: { readonly source: string; readonly residual?: number }): string {
	if (source === 'none') return 'Not corrected: no neutral grey to go by';
	const by = source === 'patches' ? "by the mat's grey patches" : "by the tray's own colour";
	return residual === undefined
		? `Corrected ${by}`
		: `Corrected ${by}; greys are off by ${printNumber(residual, 1)} colour steps on the mean (CIEDE2000)`;
}
