import 'server-only';
import { type ContractLimits, contractClass } from '../conformity/contractLimits';
import type { DecisionRule } from '../conformity/decide';
import type { LimitClass } from '../conformity/limit';
import { PUBLISHED_CLASSES } from '../conformity/publishedClasses';
import { type Narrowing, settlementOf } from '../conformity/settle';
import {
	type LimitStanding,
	type MeasuredShares,
	type Standing,
	standingOf,
	withoutClaims,
} from '../conformity/standing';
import { perSpreadUOf, spreadSamplingOf } from '../grade/samplingPlan';
import type { Component } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import type { Estimate } from '../quantity/quantity';
import { standardUncertaintyOf } from '../quantity/standardUncertainty';
import type { RecordStanding } from '../report/recordSchema';

/** What a product is asked to be set against on its record. */
export interface AskedStandings {
	readonly rule: DecisionRule;
	/** Published class, by id. */
	readonly classId?: string | undefined;
	readonly contract?: ContractLimits | undefined;
}

/** What is known of the product: its shares and the readings they come from. */
interface Seen {
	readonly composition: MeasuredShares['estimates'];
	readonly draws: MeasuredShares['draws'];
	readonly toldFrom: MeasuredShares['toldFrom'];
	readonly leastParts: MeasuredShares['leastParts'];
	/** Readings of each spread. */
	readonly readings: readonly (readonly SpreadReading[])[];
	readonly material: Material;
	/** Pieces of a spread lie in another place of the run too. */
	readonly isSeenTwice: boolean;
}

/**
 * How a product stands against what it is asked to be set against, with what would settle a limit that is not decided.
 *
 * @param narrowingOfCopper - how the share of copper narrows; some seconds of work, asked for only where a limit is not decided
 */
export async function standingsOf(
	asked: AskedStandings,
	{ composition: estimates, draws, toldFrom, leastParts, readings, material, isSeenTwice }: Seen,
	narrowingOfCopper: () => Promise<Narrowing | undefined>,
): Promise<RecordStanding[]> {
	const standings = classesOf(asked).map((one) =>
		standingOf({ estimates, draws, toldFrom, leastParts }, one, asked.rule),
	);
	if (isSeenTwice) return standings.map((one) => standingLine(withoutClaims(one), asked.rule));
	const isOpen = standings.some(({ limits }) => limits.some(({ verdict }) => verdict === 'notDecided'));
	const ofCopper = isOpen ? await narrowingOfCopper() : undefined;
	// all that is foreign is what is not copper, so it narrows alike
	const narrowing = ({ limit: { share }, measured }: LimitStanding) =>
		share === 'copper' || share === 'foreign' ? ofCopper : narrowingOfShare(readings, material, share, measured);
	return standings.map((one) => standingLine(one, asked.rule, narrowing));
}

/** The classes of limits that a product is set against. */
export function classesOf({ classId, contract }: AskedStandings): readonly LimitClass[] {
	return [
		...PUBLISHED_CLASSES.filter(({ id }) => id === classId),
		...(contract === undefined ? [] : [contractClass(contract)]),
	];
}

/** How the share of a component other than copper narrows: what its pieces' scatter does not explain stays. */
function narrowingOfShare(
	readings: Seen['readings'],
	material: Material,
	component: Component,
	measured: Estimate,
): Narrowing {
	const spreads = readings.length;
	const perSpreadU = perSpreadUOf(spreadSamplingOf(readings, material, component));
	const otherU = Math.sqrt(Math.max(0, standardUncertaintyOf(measured) ** 2 - perSpreadU ** 2 / spreads));
	return { spreads, perSpreadU, otherU };
}

function standingLine(
	standing: Standing,
	rule: DecisionRule,
	narrowing?: (line: LimitStanding) => Narrowing | undefined,
): RecordStanding {
	const { id, kind, name, item, conditions } = standing.class;
	return {
		id,
		kind,
		name,
		item,
		limits: standing.limits.map((line) => {
			const { limit, measured, probability, verdict } = line;
			const settlement = narrowing && settlementOf(line, rule, narrowing(line));
			return {
				share: limit.share,
				side: limit.side,
				fraction: limit.fraction,
				isOnEach: limit.isOnEach === true,
				source: { ...limit.source },
				measured,
				...(probability === undefined ? {} : { probability }),
				verdict,
				...(settlement === undefined ? {} : { settlement }),
			};
		}),
		...(standing.closest === undefined ? {} : { closest: standing.closest }),
		...(standing.together === undefined ? {} : { together: { ...standing.together } }),
		conditions: [...conditions],
	};
}
