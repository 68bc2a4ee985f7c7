import { TrayError } from '../errors/TrayError';
import { COMPONENTS } from '../material/classes';
import { shareDraws } from '../quantity/draws';
import { perName } from '../quantity/perName';
import type { Quantity } from '../quantity/quantity';
import { seededRandom } from '../quantity/seededRandom';
import type { Drawn } from './drawn';
import type { RerunSplit } from './rerunCircuit';

/** How a rerun is assumed to split copper and all the rest: shares 0 to 1 with one standard uncertainty. */
export interface AssumedSplit {
	readonly copperToConcentrate: Quantity;
	readonly copperToMiddlings: Quantity;
	readonly restToConcentrate: Quantity;
	readonly restToMiddlings: Quantity;
}

/**
 * An assumed split as draws; where two drawn shares pass one together, both are brought down in proportion.
 *
 * @throws TrayError `usage` when the shares of a part pass one together or can't have that uncertainty
 */
export function drawSplit(assumed: AssumedSplit, count: number, seed: number): RerunSplit {
	const copper = pairOf('copper', assumed.copperToConcentrate, assumed.copperToMiddlings, count, seed);
	const rest = pairOf('all the rest', assumed.restToConcentrate, assumed.restToMiddlings, count, seed);
	const perComponent = (k: 0 | 1) => perName(COMPONENTS, (component) => (component === 'copper' ? copper[k] : rest[k]));
	return { toConcentrate: perComponent(0), toMiddlings: perComponent(1) };
}

function pairOf(what: string, won: Quantity, back: Quantity, count: number, seed: number): readonly [Drawn, Drawn] {
	if (won.value + back.value > 1 || back.value >= 1) {
		throw new TrayError(
			'usage',
			`The shares of ${what} that go to the concentrate and back to the middlings make more than the whole.`,
			'Together they are at most 100 %, and less than 100 % comes back.',
		);
	}
	const [wonDraws, backDraws] = [won, back].map((share, k) => {
		try {
			return shareDraws(share, count, seededRandom(seed, 'rerun', what, String(k)));
		} catch (cause) {
			const hint = 'Give a smaller uncertainty, or a share further from 0 and 100 %.';
			throw new TrayError('usage', `A share of ${what} can't be as uncertain as that.`, hint, { cause });
		}
	}) as [Float64Array, Float64Array]; // two in, two out
	for (let i = 0; i < count; i++) {
		const sum = wonDraws[i]! + backDraws[i]!;
		if (sum <= 1) continue;
		wonDraws[i] = wonDraws[i]! / sum;
		backDraws[i] = backDraws[i]! / sum;
	}
	return [
		{ value: won.value, draws: wonDraws },
		{ value: back.value, draws: backDraws },
	];
}
