import { GRADED } from '@/lib/material/classes';
import {
	checkedCopperSentence,
	contradictionSentence,
	disagreementSentence,
	lockedSentence,
	ONE_SPREAD,
} from '@/lib/report/checkSentences';
import { printSentence } from '@/lib/report/format';
import { gradeMeaning } from '@/lib/report/meanings';
import { noGradeReason, type UnreadPhotos } from '@/lib/report/progressSentences';
import { GRADED_NAMES, gradeSentences } from '@/lib/report/sentences';
import type { WorkedRun } from '@/lib/store/analysis';
import { ShareTable } from './ShareTable';

/** A product's grade from all its spreads together, and what its checks make of the copper. */
export function ProductGrade({
	label,
	worked,
	unread,
	warnings,
	spreads,
}: {
	readonly label: string;
	readonly worked: WorkedRun;
	readonly unread: UnreadPhotos;
	/** What the figures of its photos suffer from. */
	readonly warnings: readonly string[];
	/** How many of its spreads count. */
	readonly spreads: number;
}) {
	const { grades, checked, sorting, lockedCopper } = worked;
	const locked = lockedCopper[label];
	const contradiction = contradictionSentence(sorting);
	const grade = grades[label];
	const found = checked[label];
	const told = found === undefined ? null : <Checked found={found} />;
	if (grade === undefined)
		return (
			<>
				<p>Not known by photos yet: {noGradeReason(unread)}</p>
				{told}
			</>
		);
	return (
		<>
			<p className="lead">{gradeSentences(grade.massFraction).join(' ')}</p>
			{told}
			{spreads === 1 ? <p>{ONE_SPREAD}</p> : null}
			{contradiction === undefined ? null : (
				<div className="caution">
					<p>{contradiction}</p>
				</div>
			)}
			{warnings.length === 0 ? null : (
				<div className="caution">
					{warnings.map((warning) => (
						<p key={warning}>{printSentence(warning)}</p>
					))}
				</div>
			)}
			<ShareTable
				caption="Shares of the dry mass by photos, all spreads together"
				lines={GRADED.map((name) => ({
					name: GRADED_NAMES[name],
					share: grade.massFraction[name],
					beside: grade.densityOnlyMassFraction[name],
					meaning: gradeMeaning(name),
				}))}
				besideHead="If all pieces were equally thick"
			/>
			{locked === undefined ? null : <p>{lockedSentence(locked)}</p>}
			<p className="hint narrow">
				&ldquo;If all pieces were equally thick&rdquo; weighs areas by density alone. It shows what reading widths does
				to the figure; do not use it.
			</p>
		</>
	);
}

/** Where checks tell copper the balance goes on with another figure than the photos': it stands here, and any disagreement with it. */
function Checked({ found }: { readonly found: WorkedRun['checked'][string] }) {
	const told = checkedCopperSentence(found);
	if (told === undefined) return null;
	const disagreement = disagreementSentence(found);
	return disagreement === undefined ? (
		<p>{told} The balance goes on with this figure.</p>
	) : (
		<div className="caution">
			<p>{disagreement} The balance goes on with this figure.</p>
		</div>
	);
}
