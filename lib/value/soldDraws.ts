import type { AccountDraws } from '../balance/account';
import { loweredDraws, raisedDraws } from '../balance/detectionCeiling';
import { ratioOfDrawn } from '../balance/drawn';
import { togetherOf } from '../balance/performance';
import type { RunAccount } from '../balance/runAccount';
import { COMPONENTS, type Component } from '../material/classes';
import { perName } from '../quantity/perName';
import type { SoldPerKg } from './marginModel';
import { PRICED_METALS, type PriceSheet } from './priceSheet';

/** A run with the draws its money is reckoned from. */
export interface ValuedRun {
	readonly account: RunAccount;
	readonly draws: AccountDraws;
}

/** The parts of what is sold, in the order that its draws lie in. */
export const SOLD_PARTS = ['mass', ...COMPONENTS] as const;

/** What is sold per kilogram of waste, from its parts in the order of `SOLD_PARTS`. */
export function soldOf(parts: readonly number[]): SoldPerKg {
	return perName(SOLD_PARTS, (_, k) => parts[k] ?? Number.NaN);
}

/**
 * What is sold per kilogram of waste as draws, in the order of `SOLD_PARTS`; undefined where a part that bears on the margin
 * is not determined. One that no price and no penalty touches counts as nothing.
 */
export function soldDraws(account: RunAccount, draws: AccountDraws, sheet: PriceSheet) {
	const sold = membersOf(account, draws, sheet.sold);
	if (sold === undefined) return undefined;
	const idle = { value: 0, draws: new Float64Array(account.drawCount) };
	const figures = [sold.massKg, ...COMPONENTS.map((component) => sold.contentKg[component])].map((part, k) => {
		const component = COMPONENTS[k - 1];
		const isIdle = part === undefined && component !== undefined && !bearsOnMargin(component, sheet);
		return isIdle ? idle : ratioOfDrawn(part, draws.feed.massKg);
	});
	const known = figures.filter((figure) => figure !== undefined);
	return known.length === SOLD_PARTS.length ? { figures: known } : undefined;
}

/** Whether what is sold is paid or charged by its grade of a component. */
export function bearsOnMargin(component: Component, sheet: PriceSheet): boolean {
	return (
		PRICED_METALS.some((metal) => metal === component && sheet.metals[metal] !== undefined) ||
		sheet.penalties.some((penalty) => penalty.component === component)
	);
}

/** Products of some roles as if poured together; undefined where the run has none. */
export function membersOf({ products }: RunAccount, draws: AccountDraws, roles: PriceSheet['sold']) {
	const members = products.flatMap(({ id, role }) => (roles.includes(role) ? [draws.products[id]!] : []));
	return members.length === 0 ? undefined : togetherOf(members);
}

/**
 * The run with as much of the metals paid for in what is sold as their limits of detection leave open, with as much of what is charged
 * for (together they would make up for each other), and with less of all that is below detection. Without a world in which nothing is.
 *
 * @param isRaised - which bins bear on what is sold; those sold where absent
 */
export function soldWorlds(
	run: ValuedRun,
	{ sold, metals, penalties }: PriceSheet,
	isRaised: Parameters<typeof raisedDraws>[1] = ({ role }) => sold.includes(role),
): readonly AccountDraws[] {
	const paid = PRICED_METALS.filter((metal) => metals[metal] !== undefined);
	const charged = penalties.map(({ component }) => component);
	const raised = [paid, charged].map((components) => raisedDraws(run, isRaised, components));
	return [...raised, loweredDraws(run, isRaised)].filter((draws) => draws !== run.draws);
}

/** The same, the run with as much in all other bins, which came in with the feed where its grade was not measured, and with less in all bins. */
export function limitedWorlds(run: ValuedRun, sheet: PriceSheet): readonly AccountDraws[] {
	const isMeasured = run.account.feed.gradeOrigin === 'measured';
	const others = isMeasured ? run.draws : raisedDraws(run, ({ role }) => !sheet.sold.includes(role));
	return [...soldWorlds(run, sheet), ...[others, loweredDraws(run)].filter((draws) => draws !== run.draws)];
}
