import { rerunSentences, rerunsName } from '@/lib/report/rerunSentences';
import type { PriceSheet } from '@/lib/value/priceSheet';
import type { RerunPass } from '@/lib/value/rerunAccount';
import type { RerunAnswer } from './askedRerun';
import { EstimateCell, TextCell } from './EstimateCell';

/** Recovery, grade and load after each rerun, and whether one rerun pays; or why that can't be told. */
export function RerunResult({ answer, sheet }: { readonly answer: RerunAnswer; readonly sheet: PriceSheet }) {
	if ('cannot' in answer) {
		return (
			<section>
				<p className="lead">{answer.cannot}</p>
			</section>
		);
	}
	const { account } = answer;
	return (
		<section>
			<h2>What it comes to</h2>
			{rerunSentences(account, sheet).map((sentence, k) => (
				<p key={sentence} className={k === 0 ? 'lead' : undefined}>
					{sentence}
				</p>
			))}
			<PassesTable passes={account.passes} />
		</section>
	);
}

const HEADS = { recovery: 'Copper recovery, %', grade: 'Copper grade, %', again: 'Fed again, % of the feed' } as const;

function PassesTable({ passes }: { readonly passes: readonly RerunPass[] }) {
	return (
		<table className="stack">
			<caption>Concentrates with the middlings fed again</caption>
			<thead>
				<tr>
					<th scope="col">Reruns</th>
					{Object.values(HEADS).map((head) => (
						<th scope="col" className="number" key={head}>
							{head}
						</th>
					))}
				</tr>
			</thead>
			<tbody>
				{passes.map(({ reruns, recovery, grade, fedAgain }) => (
					<tr key={reruns}>
						<th scope="row">{rerunsName(reruns)}</th>
						<EstimateCell head={HEADS.recovery} estimate={recovery} percent />
						<EstimateCell head={HEADS.grade} estimate={grade} percent />
						{reruns === 0 ? (
							<TextCell head={HEADS.again}>none</TextCell>
						) : (
							<EstimateCell head={HEADS.again} estimate={fedAgain} percent />
						)}
					</tr>
				))}
			</tbody>
		</table>
	);
}
