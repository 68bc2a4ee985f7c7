import type { RunAccount } from '../balance/runAccount';
import { COMPONENTS, type ProductRole } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import { KG_PER_UNIT } from '../quantity/units';
import type { PriceSheet } from '../value/priceSheet';
import type { MiddlingsStock, RerunAccount } from '../value/rerunAccount';
import type { RerunValue } from '../value/rerunValue';
import { printEstimate, printExactMass, printMass, printPercent, printShare } from './format';
import { printMoney, TON_NAMES } from './moneySentences';

/** `after 1 rerun`, `at steady state`. */
export function rerunsName(reruns: number | 'steady'): string {
	if (reruns === 0) return 'No rerun';
	if (reruns === 'steady') return 'All middlings fed again, steady state';
	return `After ${reruns} ${reruns === 1 ? 'rerun' : 'reruns'}`;
}

/**
 * Why what a rerun comes to can't be worked out, and what still can.
 *
 * @param account - the run whose middlings would be fed again
 * @param isSplitKnown - whether the run or the assumption that says how they split was enough
 */
export function rerunCannotSentence({ products, feed, isPartMissing }: RunAccount, isSplitKnown: boolean): string {
	const names = (some: typeof products) => some.map(({ name }) => name).join(', ');
	const ofRole = (role: ProductRole) => products.filter((product) => product.role === role);
	const fed = [...ofRole('middlings'), ...ofRole('concentrate')];
	const unweighed = products.filter(({ dryMassKg }) => dryMassKg.reconciled === undefined);
	const partly = fed.filter(({ massFraction }) =>
		COMPONENTS.some((name) => massFraction.reconciled[name] === undefined),
	);
	const ungraded = products.filter(({ massFraction }) => massFraction.reconciled.copper === undefined);
	const reasons = [
		...(['middlings', 'concentrate'] as const).flatMap((role) =>
			ofRole(role).length > 0 ? [] : [`the run has no ${role === 'concentrate' ? 'concentrates' : role}`],
		),
		...(unweighed.length === 0
			? []
			: [
					`there is no weight of ${names(unweighed)}${feed.dryMassKg.reconciled === undefined ? ' and none of the feed' : ''}`,
				]),
		...(partly.length === 0
			? []
			: [`${names(partly)} must be graded in copper, aluminium, insulation and the rest, as a photo does`]),
		...(isPartMissing && !isSplitKnown ? ['much of the feed is in no bin'] : []),
		...(isSplitKnown || ungraded.length === 0 ? [] : [`there is no copper grade of ${names(ungraded)}`]),
	];
	const isBare = unweighed.length === products.length && ungraded.length === products.length;
	const why = isBare
		? 'no bin is weighed or graded yet'
		: reasons.length === 0
			? 'the run that the split is taken from is not weighed and graded whole'
			: reasons.join('; ');
	return `What a rerun comes to can't be worked out yet: ${why}. The bins' own weights and grades stand.`;
}

/** What a rerun comes to in sentences: whether it pays, the load on the table, the stock where one was asked for, and what its ranges take for granted. */
export function rerunSentences({ passes, value, stock, currency = '' }: RerunAccount, sheet: PriceSheet): string[] {
	const load = passes.at(-1)?.fedAgain;
	return [
		rerunSentence(value, sheet, currency),
		load === undefined ? ENDLESS : loadSentence(load),
		...(stock === undefined ? [] : [stockSentence({ ...stock, currency })]),
		'All this holds for a rerun that splits so. Whether it does, only a rerun tells.',
	];
}

const ENDLESS =
	'There is no steady state: nearly all that is fed again comes back as middlings, and would circulate without end.';

/** Whether rerunning pays, in one sentence. */
function rerunSentence(value: RerunValue | undefined, sheet: PriceSheet, currency: string): string {
	if (value === undefined) return 'Enter prices to see whether rerunning pays.';
	const money = printMoney(value.gainPerKg, currency, KG_PER_UNIT[sheet.perTon]);
	const words =
		value.probabilityPays > 0.975
			? 'Rerunning pays'
			: value.probabilityPays < 0.025
				? value.gainPerKg.high > 0
					? 'Whether rerunning pays is not settled: the copper in the middlings is less than a photo can tell'
					: 'Rerunning does not pay'
				: `Rerunning pays in ${printPercent(value.probabilityPays)} of cases; weights and grades do not settle it`;
	return `${words}: ${money} per ${TON_NAMES[sheet.perTon]} of waste against ${value.middlings === 'sold' ? 'selling the middlings as they are' : 'keeping the middlings'}.`;
}

/** What a stock of middlings ties up: runs until a batch is full, copper in it, its worth. */
function stockSentence({
	batchKg,
	middlingsKg,
	copperFraction,
	worthPerKg,
	currency,
}: {
	readonly currency: string;
} & MiddlingsStock): string {
	if (!(middlingsKg.value > 0)) return 'This run left no middlings, so no stock is built.';
	const runs = Math.ceil(batchKg / middlingsKg.value - 1e-9);
	const copper = (share: Estimate, factor: number): Estimate => ({
		...share,
		value: share.value * factor,
		low: share.low * factor,
		high: share.high * factor,
	});
	const worth =
		worthPerKg === undefined
			? ''
			: `, ${printMoney(copper(copperFraction, batchKg * worthPerKg), currency)} at the payable price, tied up until the batch is run`;
	return (
		`A batch of ${printExactMass(batchKg)} is full after ${runs} ${runs === 1 ? 'run' : 'runs'} like this one and ` +
		`holds ${printMass(copper(copperFraction, batchKg))} of copper${worth}.`
	);
}

/** The load on the table at steady state over the fresh feed: `1.09 times the fresh feed`. */
function loadSentence(fedAgain: Estimate): string {
	const { value, low, high } = printEstimate({
		value: 1 + fedAgain.value,
		low: 1 + fedAgain.low,
		high: 1 + fedAgain.high,
	});
	return `At steady state the table carries ${value} times the fresh feed (${low} to ${high}); ${printShare(fedAgain)} of the fresh feed circulates.`;
}
