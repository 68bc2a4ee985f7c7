import { LatestAsked } from '../quantity/latestAsked';
import type { Estimate } from '../quantity/quantity';
import { DEFAULT_DRAWS, DEFAULT_SEED } from '../quantity/seededRandom';
import { estimateOfDrawn } from './drawn';
import { dryMassInParts } from './dryMass';
import { type StreamKey, weighedMassOf } from './stream';
import type { Weighing } from './weighing';

/** Where in a run something was weighed: what its account draws the weighing's errors from. */
export interface WeighedPlace {
	/** What the run's account is called: see `AccountInput`. */
	readonly runId: string;
	readonly key: StreamKey;
	/** Relative standard uncertainty of each named scale's own error. */
	readonly scales?: Readonly<Record<string, number>> | undefined;
}

/**
 * Dry mass of one weighing with its 95 % interval, kg: the very figure that the run's account gives as measured, at once, since nothing
 * else of the run bears on it.
 *
 * @throws TrayError `mass-impossible` as `dryMassOf`
 */
export function measuredDryMass(weighing: Weighing, place: WeighedPlace): Estimate {
	const asked = JSON.stringify([weighing, place]);
	const mass = held.get(asked) ?? drawnDryMass(weighing, place);
	held.hold(asked, mass);
	return mass;
}

/** Dry masses by what they rest on: a run's page asks for all of its own at every look, and each takes ten thousand draws. */
const held = new LatestAsked<Estimate>(500);

function drawnDryMass(weighing: Weighing, { runId, key, scales = {} }: WeighedPlace): Estimate {
	const input = { runId, seed: DEFAULT_SEED, drawCount: DEFAULT_DRAWS, scales };
	const found = estimateOfDrawn(weighedMassOf(key, dryMassInParts(weighing), input));
	if (found === undefined) throw new RangeError(`the dry mass of ${key} is no number`);
	return found;
}
