import { listed } from '../balance/accountWarnings';
import type { PhotosInReading } from '../balance/runHistory';

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

/** Of photos that an earlier version of the program read: `12 photos were read by an earlier version of Deckside …` */
export function readEarlierSentence(photos: number): string {
	const [which, what] = photos === 1 ? ['1 photo was', 'it'] : [`${photos} photos were`, 'them'];
	return `${which} read by an earlier version of Deckside; this one may read ${what} otherwise.`;
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
	setAside: 'Kept, not counted: it was taken again or left out.',
} as const;
