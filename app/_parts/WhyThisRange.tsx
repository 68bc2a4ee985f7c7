import type { ExplainedProduct, ExplainedRun } from '@/lib/balance/explainRun';
import { neededSentences, nextSentence, samplingSentence } from '@/lib/report/checkSentences';
import { printShare } from '@/lib/report/format';
import { noGradeReason, type UnreadPhotos } from '@/lib/report/progressSentences';
import { BeforehandTable, BudgetPlot, BudgetTable, NextTable, PlanCurve, PlanTable } from './BudgetPlot';

/** Ranges asked for most, as shares either side. */
const WANTED = [0.005, 0.01, 0.02, 0.05] as const;

/** A product's copper range explained, then that of the run's recovery. */
export function WhyThisRange({
	label,
	explained,
	unread,
}: {
	readonly label: string;
	readonly unread: UnreadPhotos;
	readonly explained: ExplainedRun;
}) {
	const { products, recovery } = explained;
	const product = products[label];
	return (
		<>
			{product === undefined ? (
				<p>Nothing to explain yet: {noGradeReason(unread)}</p>
			) : (
				<>
					<section>
						<h2>Copper grade by photos: {printShare(product.budget.figure)}</h2>
						<p className="lead">{nextSentence(product)}</p>
						<BudgetPlot {...product} />
						<BudgetTable {...product} />
						<VarianceHint />
						<NextTable {...product} />
					</section>
					<Spreading product={product} />
				</>
			)}
			{recovery === undefined ? null : (
				<section>
					<h2>
						Copper recovered in the concentrates: {printShare(recovery.budget.figure)}
						{recovery.unlessLost ? ', if nothing was lost' : null}
					</h2>
					<p>{nextSentence(recovery)}</p>
					<BudgetPlot {...recovery} />
					<BudgetTable {...recovery} />
					<VarianceHint />
					<NextTable {...recovery} />
				</section>
			)}
		</>
	);
}

function VarianceHint() {
	return (
		<p className="hint narrow">
			The range reaches about two standard deviations either side. Variance is the standard deviation times itself: the
			causes&rsquo; shares of it add up, so shrinking the longest bar helps most.
		</p>
	);
}

function Spreading({ product }: { readonly product: ExplainedProduct }) {
	return (
		<section>
			<h2>How much to spread, and how many spreads</h2>
			<p className="narrow">{samplingSentence(product)}</p>
			<ul>
				{neededSentences(WANTED, product).map((sentence) => (
					<li key={sentence}>{sentence}</li>
				))}
			</ul>
			<PlanCurve {...product} />
			<p className="hint narrow">
				Sampling alone, and with all other causes as they stand today. Grams are of all spreads together.
			</p>
			<PlanTable {...product} />
			<BeforehandTable {...product} />
			<p className="hint narrow">
				For knowing the smaller part, copper or the rest, to a tenth of itself 95 times in 100. Mix well first: the
				formula takes that for granted.
			</p>
		</section>
	);
}
