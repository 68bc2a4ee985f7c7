import { COMPONENTS, type Component } from '../material/classes';
import { perName } from '../quantity/perName';
import type { AccountDraws } from './account';
import { totalLoadOf } from './circulatingLoad';
import { type Drawn, drawnFrom, ratioOfDrawn } from './drawn';
import { type StreamDraws, togetherOf } from './performance';
import type { RunAccount } from './runAccount';

type PerComponent = Readonly<Record<Component, Drawn>>;

/** How a rerun splits what it is fed: shares of each component, 0 to 1; the rest goes to the tailings. */
export interface RerunSplit {
	readonly toConcentrate: PerComponent;
	readonly toMiddlings: PerComponent;
}

/** A run's concentrates with the middlings fed again some times, per kilogram of fresh feed. */
export interface AfterPasses {
	/** Reruns of the middlings; infinite for the steady state. */
	readonly reruns: number;
	readonly concentrate: PerComponent & { readonly mass: Drawn };
	/** Middlings that are left and not fed again. */
	readonly left: PerComponent & { readonly mass: Drawn };
	/** Mass fed to the table again, all reruns together, per kilogram of fresh feed. */
	readonly fedAgain: Drawn;
	readonly recovery: Drawn | undefined;
	readonly grade: Drawn | undefined;
}

/**
 * What a run comes to when its middlings are fed again.
 *
 * The first pass is the run as measured. Each rerun puts a share of every component into the concentrate and a share back
 * into the middlings, so after n reruns the concentrate holds c + m p (1 - q^n) / (1 - q) of it and the middlings m q^n: c and m
 * from the run, p and q from the split.
 *
 * @param reruns - how often the middlings are fed again: 0, 1, 2 ... or infinity for the steady state
 * @returns undefined where the run has no middlings, or their content or the concentrates' is not known
 * @throws RangeError when the split gives a component back whole
 * @source sum of the geometric series
 */
export function afterReruns(
	{ account, draws }: { readonly account: RunAccount; readonly draws: AccountDraws },
	split: RerunSplit,
	reruns: readonly number[],
): readonly AfterPasses[] | undefined {
	const concentrate = perKgFed(account, draws, 'concentrate');
	const middlings = perKgFed(account, draws, 'middlings');
	if (concentrate === undefined || middlings === undefined) return undefined;
	const copperFed = draws.feed.massFraction.copper;
	return reruns.map((times) => {
		const parts = perName(COMPONENTS, (component) => {
			const inputs = [concentrate[component], middlings[component], split.toConcentrate[component]] as const;
			const back = split.toMiddlings[component];
			const won = (m: number, p: number, q: number) => (m === 0 ? 0 : m * p * seriesOf(q, times));
			return drawnFrom([...inputs, back], (c, m, p, q) => c + won(m, p, q));
		});
		const left = perName(COMPONENTS, (component) =>
			drawnFrom([middlings[component], split.toMiddlings[component]], (m, q) => m * Math.min(q, 1 - 1e-9) ** times),
		);
		const again = COMPONENTS.map((component) =>
			drawnFrom([middlings[component], split.toMiddlings[component]], (m, q) => (m === 0 ? 0 : m * seriesOf(q, times))),
		);
		const mass = total(COMPONENTS.map((component) => parts[component]));
		return {
			reruns: times,
			concentrate: { ...parts, mass },
			left: { ...left, mass: total(COMPONENTS.map((component) => left[component])) },
			fedAgain: total(again),
			recovery: ratioOfDrawn(parts.copper, copperFed),
			grade: ratioOfDrawn(parts.copper, mass),
		};
	});
}

/** What loses less than this of itself a pass takes a thousand passes to settle: it circulates without end. Our choice. */
const LEAST_LOST = 1e-3;

/** 1 + q + ... + q^(n - 1): how often a part of the middlings passes the table again; no number where it never settles. */
function seriesOf(q: number, times: number): number {
	if (times === 0) return 0;
	if (!Number.isFinite(times) && q > 1 - LEAST_LOST) return Number.NaN;
	return totalLoadOf(Math.min(q, 1 - 1e-9), times);
}

function total(figures: readonly Drawn[]): Drawn {
	return drawnFrom(figures, (...values: number[]) => values.reduce((sum, value) => sum + value, 0));
}

function perKgFed({ products }: RunAccount, draws: AccountDraws, role: 'concentrate' | 'middlings') {
	const members = products.flatMap(({ id, role: own }) => (own === role ? [draws.products[id]!] : []));
	if (members.length === 0) return undefined;
	const together = togetherOf(members);
	const parts: Partial<Record<Component, Drawn>> = {};
	for (const component of COMPONENTS) {
		const part = ratioOfDrawn(together.contentKg[component], draws.feed.massKg);
		if (part === undefined) return undefined;
		parts[component] = part;
	}
	return parts as PerComponent; // the loop left when one was missing
}

/**
 * The split of a run as measured, for a rerun that is taken to split like it: this run's own (the hopeful side, since
 * middlings hold the awkward grains), or one that was fed with middlings.
 *
 * Copper has its own shares; all the rest is taken together, because the share of a trace of metal that went to the
 * middlings is hardly known and would seem to circulate for ever.
 *
 * @returns undefined where the run has no concentrate or its recoveries are not known
 */
export function splitOfRun({
	account,
	draws,
}: {
	readonly account: RunAccount;
	readonly draws: AccountDraws;
}): RerunSplit | undefined {
	const split = (['concentrate', 'middlings'] as const).map((role): PerComponent | undefined => {
		const members = account.products.filter((product) => product.role === role);
		if (members.length === 0 && role === 'middlings')
			return perPart(known(0, account.drawCount), known(0, account.drawCount));
		const together = togetherOf(members.map(({ id }) => draws.products[id]!));
		const copper = ratioOfDrawn(together.contentKg.copper, draws.feed.contentKg.copper);
		const rest = ratioOfDrawn(restOf(together), restOf(draws.feed));
		return copper && rest && perPart(meant(copper), meant(rest));
	});
	const [toConcentrate, toMiddlings] = split;
	return toConcentrate && toMiddlings && { toConcentrate, toMiddlings };
}

function restOf({ massKg, contentKg }: StreamDraws): Drawn | undefined {
	return massKg && contentKg.copper && drawnFrom([massKg, contentKg.copper], (all, copper) => all - copper);
}

/** A share of nothing is taken for nothing. */
function meant({ value, draws }: Drawn): Drawn {
	return { value, draws: draws.map((one) => (Number.isFinite(one) ? one : 0)) };
}

function perPart(copper: Drawn, rest: Drawn): PerComponent {
	return { copper, aluminium: rest, insulation: rest, other: rest };
}

/** A figure that is taken for exact. */
export function known(value: number, count: number): Drawn {
	return { value, draws: new Float64Array(count).fill(value) };
}
