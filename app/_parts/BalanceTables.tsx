import type { Performance, RunAccount } from '@/lib/balance/runAccount';
import type { Component } from '@/lib/material/classes';
import { massHead } from '@/lib/report/format';
import { printRecoveryBounds } from '@/lib/report/sentences';
import { EstimateCell, TextCell } from './EstimateCell';

const GRADE_HEADS = {
	measured: 'Grade measured, %',
	reconciled: 'Grade reconciled, %',
	recovery: 'Recovery, %',
	upgrade: 'Upgrade ratio',
} as const;

function HeadRow({ first, heads }: { readonly first: string; readonly heads: Readonly<Record<string, string>> }) {
	return (
		<thead>
			<tr>
				<th scope="col">{first}</th>
				{Object.values(heads).map((head) => (
					<th key={head} scope="col" className="number">
						{head}
					</th>
				))}
			</tr>
		</thead>
	);
}

/** Dry masses, measured and reconciled, and yields. */
export function MassTable({ account }: { readonly account: RunAccount }) {
	const { feed, products, together } = account;
	const heads = { measured: massHead('Measured'), reconciled: massHead('Reconciled'), yield: 'Yield, %' };
	return (
		<table className="stack">
			<caption>Dry masses</caption>
			<HeadRow first="Product" heads={heads} />
			<tbody>
				{products.map((product) => (
					<tr key={product.id}>
						<th scope="row">{product.name}</th>
						<EstimateCell head={heads.measured} estimate={product.dryMassKg.measured} mass />
						<EstimateCell head={heads.reconciled} estimate={product.dryMassKg.reconciled} mass />
						<EstimateCell head={heads.yield} estimate={product.yieldFraction} percent />
					</tr>
				))}
				<tr>
					<th scope="row">All products</th>
					<td />
					<EstimateCell head={heads.reconciled} estimate={together.all?.dryMassKg} mass />
					<td />
				</tr>
				<tr>
					<th scope="row">Feed</th>
					<EstimateCell head={heads.measured} estimate={feed.dryMassKg.measured} mass />
					<EstimateCell head={heads.reconciled} estimate={feed.dryMassKg.reconciled} mass />
					<td />
				</tr>
			</tbody>
		</table>
	);
}

/** One part (copper, for example) in every product: grade measured and reconciled, recovery, upgrade. */
export function GradeTable({
	account,
	component,
	name,
}: {
	readonly account: RunAccount;
	readonly component: Component;
	readonly name: string;
}) {
	const { feed, products, together } = account;
	return (
		<table className="stack">
			<caption>{name}</caption>
			<HeadRow first="Product" heads={GRADE_HEADS} />
			<tbody>
				{products.map((product) => (
					<tr key={product.id}>
						<th scope="row">{product.name}</th>
						<EstimateCell head={GRADE_HEADS.measured} estimate={product.massFraction.measured[component]} percent />
						<EstimateCell head={GRADE_HEADS.reconciled} estimate={product.massFraction.reconciled[component]} percent />
						<RecoveryCell of={product} component={component} />
						<EstimateCell head={GRADE_HEADS.upgrade} estimate={product.upgradeRatio[component]} ratio />
					</tr>
				))}
				{together.concentrate === undefined ? null : (
					<tr>
						<th scope="row">Concentrates together</th>
						<td />
						<EstimateCell
							head={GRADE_HEADS.reconciled}
							estimate={together.concentrate.massFraction[component]}
							percent
						/>
						<RecoveryCell of={together.concentrate} component={component} />
						<EstimateCell head={GRADE_HEADS.upgrade} estimate={together.concentrate.upgradeRatio[component]} ratio />
					</tr>
				)}
				<tr>
					<th scope="row">Feed{feed.gradeOrigin === 'back-calculated' ? ', worked out from the products' : ''}</th>
					{feed.gradeOrigin === 'back-calculated' ? (
						<td />
					) : (
						<EstimateCell head={GRADE_HEADS.measured} estimate={feed.massFraction.measured[component]} percent />
					)}
					<EstimateCell head={GRADE_HEADS.reconciled} estimate={feed.massFraction.reconciled[component]} percent />
					<td />
					<td />
				</tr>
			</tbody>
		</table>
	);
}

/** A recovery, or its limits where a bin without a grade leaves it open. */
function RecoveryCell({ of, component }: { readonly of: Performance; readonly component: Component }) {
	const bounds = of.recoveryBounds?.[component];
	const recovery = of.recovery[component];
	if (recovery !== undefined || bounds === undefined) {
		return <EstimateCell head={GRADE_HEADS.recovery} estimate={recovery} percent />;
	}
	return <TextCell head={GRADE_HEADS.recovery}>{printRecoveryBounds(bounds)}</TextCell>;
}
