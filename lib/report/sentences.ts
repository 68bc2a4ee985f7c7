import { listed } from '../balance/accountWarnings';
import { isFarFromClosing } from '../balance/closure';
import type { Bounds, ProductAccount, RunAccount } from '../balance/runAccount';
import type { PhotosInReading } from '../balance/runHistory';
import { CLASS_WORDS, type Graded, type ProductRole, perClass } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import { isUntold, printMass, printNumber, printPercent, printRatioPercent, printShare } from './format';

/** Said once on every page that shows a range. */
export const COVERAGE_SENTENCE = 'Ranges hold the true value 95 times in 100.';

/** Said wherever a grade stands. */
export const ESTIMATE_SENTENCE = 'Estimated from photos and weights: an estimate, not an assay.';

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
		...without(({ massFraction }) => massFraction.reconciled.copper, 'photo'),
	];
	if (missing.length > 0) return ` without ${missing.join(' and ')}`;
	if (unaccountedKg !== undefined && isFarFromClosing(account)) {
		const { value, low, high } = unaccountedKg;
		return value > 0
			? `, since ${printMass(unaccountedKg)} of the feed is in no bin`
			: `, since the bins weigh ${printMass({ value: -value, low: -high, high: -low })} more than the feed`;
	}
	return loss === undefined ? ', since there is no other bin' : ', since what was lost has no grade';
}

function lowerFirst(text: string): string {
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

/** `Reading photo 3 of 12, about 20 seconds left`, or what keeps photos from being read. */
export function progressSentence(progress: {
	readonly photos: number;
	readonly open: number;
	readonly secondsLeft?: number;
	readonly haltedBy?: string;
}): string {
	if (progress.haltedBy !== undefined) {
		const waiting = progress.open === 1 ? '1 photo is kept and waits' : `${progress.open} photos are kept and wait`;
		return `${progress.haltedBy} ${waiting} until that is put right; reading goes on by itself.`;
	}
	const at = Math.min(progress.photos, progress.photos - progress.open + 1);
	const left = progress.secondsLeft === undefined ? '' : `, about ${durationText(progress.secondsLeft)} left`;
	return `Reading photo ${at} of ${progress.photos}${left}`;
}

/** `2 photos are kept but not read: reading was stopped.` */
export function stoppedSentence(photos: number): string {
	return photos === 1
		? '1 photo is kept but not read: its reading was stopped.'
		: `${photos} photos are kept but not read: their reading was stopped.`;
}

/** A product's photos, counted by what they wait for. */
export interface UnreadPhotos {
	/** In the queue or being read. */
	readonly waiting: number;
	readonly stopped: number;
	readonly refused: number;
	/** Their figures may be behind them. */
	readonly read: number;
}

/** `2 photos wait to be read.` */
export function waitingSentence(photos: number): string {
	return photos === 1 ? '1 photo waits to be read.' : `${photos} photos wait to be read.`;
}

/** What figures from before the latest change of a run rest on. */
export interface FiguresBefore {
	/** How many photos, of those that are read or on their way; absent where they rest on some that count no more. */
	readonly photos?: { readonly counted: number; readonly all: number };
}

/** `Figures with 5 of 7 photos, from before the latest change. The present ones are being worked out.` */
export function beforeSentence({ photos }: FiguresBefore): string {
	const which = photos === undefined ? '' : ` with ${photos.counted} of ${photos.all} photos,`;
	return `Figures${which} from before the latest change. The present ones are being worked out.`;
}

/** The same beside a single figure. */
export function beforeWords({ photos }: FiguresBefore): string {
	return photos === undefined
		? 'From before the latest change; being worked out.'
		: `With ${photos.counted} of the run\u2019s ${photos.all} photos; being worked out.`;
}

/** Names in one sentence. */
const NAMED_AT_MOST = 12;

function namedAtMost(names: readonly string[]): string {
	const rest = names.length - NAMED_AT_MOST;
	return `${names.slice(0, NAMED_AT_MOST).join(', ')}${rest > 0 ? ` and ${rest} more` : ''}`;
}

/** Told where figures of several runs stand together and some are behind. */
export function behindSentence(names: readonly string[]): string {
	return `Being worked out: ${namedAtMost(names)}. What stands here of ${names.length === 1 ? 'it' : 'them'} is from before the latest change.`;
}

/** How far the photos of a run are that has no figures until all are read. */
export function inReadingSentence({ read, all }: PhotosInReading): string {
	return `Photos are still being read: ${read} of ${all} are done.`;
}

/** Told of a lot's runs beside its tables to save, and in those that leave them out. */
export function runsInReadingSentence(runs: readonly (PhotosInReading & { readonly name: string })[]): string {
	const names = namedAtMost(runs.map(({ name, read, all }) => `${name} (${read} of ${all} done)`));
	return `Photos are still being read: ${names}. What is saved until then has no figures of ${runs.length === 1 ? 'this run' : 'these runs'}.`;
}

/** Stands where there are no figures yet. */
export const BEING_WORKED_OUT = 'Being worked out.';

/** Why the photos of a product tell no grade, to follow a colon: `2 photos wait to be read.` */
export function noGradeReason({ waiting, stopped, refused, read }: UnreadPhotos): string {
	if (read > 0) return 'its photos are read and are being worked out.';
	if (waiting > 0) return waitingSentence(waiting);
	if (stopped > 0) return `the reading of ${stopped === 1 ? '1 photo' : `${stopped} photos`} was stopped.`;
	if (refused > 0) return 'no photo could be read. What is wrong stands beside each.';
	return 'photograph at least one spread.';
}

/** Photos of a product that its figures don't hold: `2 photos wait to be read and 1 photo could not be read; the figures leave them out.` */
export function leftOutSentence({ waiting, stopped, refused }: Omit<UnreadPhotos, 'read'>): string | undefined {
	const photos = (count: number) => (count === 1 ? '1 photo' : `${count} photos`);
	const told = [
		...(waiting === 0 ? [] : [`${photos(waiting)} ${waiting === 1 ? 'waits' : 'wait'} to be read`]),
		...(stopped === 0 ? [] : [`the reading of ${photos(stopped)} was stopped`]),
		...(refused === 0 ? [] : [`${photos(refused)} could not be read`]),
	];
	if (told.length === 0) return undefined;
	return `${listed(told)}; the figures leave ${waiting + stopped + refused === 1 ? 'it' : 'them'} out.`;
}

/** An estimate: told to ten seconds where it is long. */
function durationText(seconds: number): string {
	if (seconds > 20 && seconds <= 90) return `${10 * Math.ceil(seconds / 10)} seconds`;
	if (seconds < 90) return `${seconds} ${seconds === 1 ? 'second' : 'seconds'}`;
	return `${Math.ceil(seconds / 60)} minutes`;
}

/** `2 photos not sent yet` */
export function unsentSentence(photos: number): string {
	return `${photos} ${photos === 1 ? 'photo' : 'photos'} not sent yet`;
}

/** Where unsent photos are safe meanwhile. `lasting`: the browser has stored them. */
export function unsentSafetySentence(photos: number, lasting: boolean): string {
	const one = photos === 1;
	if (!lasting)
		return `Keep this page open until ${one ? 'it is' : 'they are'} sent: this browser does not store photos.`;
	return one
		? 'The photo is kept on this device and sent again by itself.'
		: 'The photos are kept on this device and sent again by themselves.';
}

/** `1 photo was not taken in` */
export function refusedCountSentence(photos: number): string {
	return photos === 1 ? '1 photo was not taken in' : `${photos} photos were not taken in`;
}

/** What stands by a photo that is kept but not counted. */
export const HELD_SENTENCES = {
	stopped: 'Kept, not read: its reading was stopped.',
	redone: 'Kept, not counted: it was taken again.',
} as const;

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
