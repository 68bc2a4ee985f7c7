import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { TrayError } from '../errors/TrayError';
import { seededRandom } from '../quantity/seededRandom';

/** A setting that a plan varies between two levels. */
export interface PlannedSetting {
	readonly name: string;
	readonly low: number;
	readonly high: number;
}

/** One run of a plan: which settings stand high, in the order of the settings. */
export interface PlannedRun {
	/** Place in the order that runs are to be done in, from 1. */
	readonly order: number;
	readonly high: readonly boolean[];
}

/** A plan of runs with what it can't tell apart. */
export interface FactorialPlan {
	readonly settings: readonly PlannedSetting[];
	readonly runs: readonly PlannedRun[];
	readonly seed: number;
	readonly isHalf: boolean;
	/** How often each combination is run. */
	readonly times: number;
	/**
	 * From how large an effect on, low to high, the plan's runs tell it from nothing one time in two, in standard deviations of runs at
	 * one setting; missing where the runs are too few to tell any.
	 */
	readonly clearFrom?: number;
	/** In a half plan: what each setting's effect is mixed with. */
	readonly warning?: string;
}

const MOST_SETTINGS = 5;
/** More repeats nobody runs (our choice). */
export const MOST_TIMES = 9;

/**
 * A two-level factorial plan, whole or half, with its run order shuffled by a seed.
 *
 * In the half plan the last setting stands high where the number of others that stand high has the parity that makes the
 * product of all signs plus one; each effect is then mixed with the interaction of all other settings. Repeats are shuffled among
 * all runs. An effect's 95 % range reaches t times 2 standard deviations of a run over the root of the number of runs, with one degree of
 * freedom for each run beyond the settings and their mean.
 *
 * @throws TrayError `usage` when there are no or too many settings or repeats, or two levels are equal
 * @source Box, Hunter and Hunter, Statistics for Experimenters (1978), chapters 10 and 12 (from memory);
 *   shuffle: Fisher and Yates as in Knuth, The Art of Computer Programming 2, algorithm P
 */
export function factorialPlanOf(
	settings: readonly PlannedSetting[],
	seed: number,
	{ isHalf = false, times = 1 }: { readonly isHalf?: boolean; readonly times?: number } = {},
): FactorialPlan {
	refuseUnplannable(settings, isHalf, times);
	const free = isHalf ? settings.length - 1 : settings.length;
	const standard = Array.from({ length: 2 ** free * times }, (_, row) => {
		const high = Array.from({ length: free }, (_unused, k) => ((row >> k) & 1) === 1);
		if (!isHalf) return high;
		// signs multiply to plus one: an even number of low settings in all
		const lows = high.filter((one) => !one).length;
		return [...high, lows % 2 === 0];
	});
	const random = seededRandom(seed, 'run order');
	for (let i = standard.length - 1; i > 0; i--) {
		const j = Math.floor(random.uniform() * (i + 1));
		[standard[i], standard[j]] = [standard[j]!, standard[i]!];
	}
	return {
		settings,
		runs: standard.map((high, k) => ({ order: k + 1, high })),
		seed,
		isHalf,
		times,
		...clearFrom(settings.length, standard.length),
		...(isHalf ? { warning: mixedSentence(settings) } : {}),
	};
}

/** What the plan's runs can tell; see `FactorialPlan`. */
function clearFrom(settings: number, runs: number): Pick<FactorialPlan, 'clearFrom'> {
	const degreesOfFreedom = runs - fewestRuns(settings) + 1;
	return degreesOfFreedom > 0 ? { clearFrom: (tQuantile(0.975, degreesOfFreedom) * 2) / Math.sqrt(runs) } : {};
}

/** The fewest runs that tell what so many settings did: one for each, one for their mean, one that shows how runs scatter. */
export function fewestRuns(settings: number): number {
	return settings + 2;
}

function refuseUnplannable(settings: readonly PlannedSetting[], isHalf: boolean, times: number): void {
	if (!Number.isInteger(times) || times < 1 || times > MOST_TIMES) {
		throw new TrayError(
			'usage',
			`A plan of ${times} times each is not made here.`,
			`Give a number from 1 to ${MOST_TIMES}.`,
		);
	}
	const least = isHalf ? 3 : 1;
	if (settings.length < least || settings.length > MOST_SETTINGS) {
		const kind = isHalf ? 'A half plan' : 'A plan';
		const hint = isHalf ? 'Name three to five settings, or ask for the whole plan.' : 'Name one to five settings.';
		throw new TrayError('usage', `${kind} of ${settings.length} settings is not made here.`, hint);
	}
	for (const { name, low, high } of settings) {
		if (low === high)
			throw new TrayError('usage', `${name} has the same low and high level.`, 'Give two levels that differ.');
	}
}

function mixedSentence(settings: readonly PlannedSetting[]): string {
	const others = settings.length - 1;
	return `Half the runs: the effect of each setting is mixed with that of the other ${others} acting together. Take the whole plan if that may matter.`;
}
