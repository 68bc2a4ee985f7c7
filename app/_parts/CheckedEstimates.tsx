import Link from 'next/link';
import {
	agreementSentence,
	contradictionSentence,
	idleSentence,
	impossibleSentence,
	isDisagreement,
	learnedSentence,
	lockedSentence,
	magnetSentence,
	ORIGIN_NAMES,
	partialSentence,
	pictureLineSentence,
} from '@/lib/report/checkSentences';
import { printNumber, printQuantityPercent, printShare } from '@/lib/report/format';
import { noGradeReason, type UnreadPhotos } from '@/lib/report/progressSentences';
import type { WorkedRun } from '@/lib/store/analysis';
import { IntervalPlot } from './IntervalPlot';

/** All estimates of a product's copper side by side, whether they agree, and what hand sorts taught. */
export function CheckedEstimates({
	label,
	worked,
	isChecked,
	unread,
}: {
	readonly label: string;
	/** Whether any check of the product is on record: some tell copper only by way of the photos. */
	readonly isChecked: boolean;
	readonly unread: UnreadPhotos;
	readonly worked: WorkedRun;
}) {
	const { checked, lockedCopper, sorting, grades } = worked;
	const found = checked[label];
	const locked = lockedCopper[label];
	const photos = grades[label]?.massFraction.copper;
	const magnet = found === undefined ? undefined : magnetSentence(found);
	const trouble = contradictionSentence(sorting);
	return (
		<>
			{found === undefined ? (
				<p>
					{isChecked ? 'No check on record tells copper by itself.' : 'No check yet.'}{' '}
					{photos === undefined
						? `Nothing is known by photos either: ${noGradeReason(unread)}`
						: `Copper by photos alone: ${printShare(photos)}.`}
				</p>
			) : (
				<>
					<p className="lead">Copper, all estimates together: {printShare(found.combined)}.</p>
					<div className={isDisagreement(found) ? 'caution' : 'narrow'}>
						<p>{agreementSentence(found)} The balance goes on with this figure.</p>
					</div>
					<table className="stack">
						<caption>Copper in the dry product, by each way</caption>
						<thead>
							<tr>
								<th scope="col">By</th>
								<th scope="col">Copper (range)</th>
								<th scope="col">0 to 100 %</th>
								<th scope="col" className="number">
									Off the rest, standard deviations
								</th>
							</tr>
						</thead>
						<tbody>
							{found.estimates.map((estimate) => (
								<tr key={`${estimate.origin} ${estimate.value} ${estimate.u}`}>
									<th scope="row">{ORIGIN_NAMES[estimate.origin]}</th>
									<td className="wide">{printShare(estimate)}</td>
									<td className="wide">
										<IntervalPlot share={estimate} label={ORIGIN_NAMES[estimate.origin]} />
									</td>
									<td className="number" data-head="Off the rest, standard deviations">
										{estimate.deviations === undefined ? '' : printNumber(estimate.deviations, 1)}
									</td>
								</tr>
							))}
						</tbody>
					</table>
					{found.impossible?.map((one) => (
						<div className="caution" key={one.densityKgPerM3}>
							<p>{impossibleSentence(one)}</p>
						</div>
					))}
					{magnet === undefined ? null : <p>{magnet}</p>}
				</>
			)}
			{locked === undefined ? null : <p>{lockedSentence(locked)}</p>}
			{sorting.learned.length + sorting.idle.length + sorting.partial.length === 0 ? null : (
				<>
					<h3>What hand sorts say about the material</h3>
					<ul>
						{sorting.learned.map((one) => (
							<li key={one.name}>{learnedSentence(one)}</li>
						))}
						{sorting.idle.map((one) => (
							<li key={`${one.label} ${one.name}`}>{idleSentence(one)}</li>
						))}
					</ul>
					{trouble === undefined ? (
						sorting.learned.length === 0 ? null : (
							<p>No pile contradicts the others.</p>
						)
					) : (
						<div className="caution">
							<p>{trouble}</p>
						</div>
					)}
					{sorting.partial.map((one) => (
						<div className="caution" key={one.label}>
							<p>{partialSentence(one)}</p>
						</div>
					))}
					<PicturesAgainstPiles sorting={sorting} />
				</>
			)}
		</>
	);
}

/** Every sorted spread by its picture and by its piles, this run's and those that other runs taught. */
function PicturesAgainstPiles({ sorting }: { readonly sorting: WorkedRun['sorting'] }) {
	const told = pictureLineSentence(sorting);
	if (told === undefined) return null;
	return (
		<>
			<p>
				{told} <Link href="/materials">Leave a sort of another run out</Link>
			</p>
			<table className="stack">
				<caption>Free copper of sorted spreads, by picture and by weighed piles</caption>
				<thead>
					<tr>
						<th scope="col">Spread</th>
						<th scope="col" className="number">
							By picture, %
						</th>
						<th scope="col" className="number">
							By piles, %
						</th>
					</tr>
				</thead>
				<tbody>
					{sorting.points.map(({ label, picture, weighed }) => (
						<tr key={label}>
							<th scope="row">{label}</th>
							<td className="number" data-head="By picture, %">
								{printQuantityPercent(picture)}
							</td>
							<td className="number" data-head="By piles, %">
								{printQuantityPercent(weighed)}
							</td>
						</tr>
					))}
				</tbody>
			</table>
			<p className="hint narrow">
				After ± stands one standard uncertainty, of single pieces and of weighing alone: here wrong calls show, they are
				not allowed for.
			</p>
		</>
	);
}
