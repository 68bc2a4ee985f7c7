import Link from 'next/link';
import type { Estimate } from '@/lib/quantity/quantity';
import { checkedCopperSentence, isDisagreement } from '@/lib/report/checkSentences';
import { BEING_WORKED_OUT, beforeWords, waitingSentence } from '@/lib/report/progressSentences';
import { gradeSentences, ROLE_NAMES } from '@/lib/report/sentences';
import { weightSentence } from '@/lib/report/weightSentence';
import { isPhotographed } from '@/lib/store/photographed';
import type { RunFigures } from '@/lib/store/runFigures';
import { labelsOf } from '@/lib/store/runProducts';
import { isRead, type ProductOnBoard, type RunBoard, unreadPhotosOf, weighedPlaceOf } from '@/lib/store/workedRun';
import { IntervalPlot } from './IntervalPlot';

/** One large tile a product: what is done, what it says, what is missing. */
export function ProductTiles({
	board: { run, products },
	figures,
}: {
	readonly board: RunBoard;
	readonly figures: RunFigures;
}) {
	if (products.length === 0) return <p>No products yet. Add one for each bin at the table.</p>;
	const labels = labelsOf(products);
	return (
		<ul className="tiles">
			{products.map((product) => {
				const label = labels.get(product.id) ?? '';
				return (
					<li key={product.id}>
						<Link className="tile" href={`/runs/${run.id}/products/${product.id}`}>
							<h3>{product.name}</h3>
							{product.name.startsWith(ROLE_NAMES[product.role]) ? null : (
								<p className="soft">{ROLE_NAMES[product.role]}</p>
							)}
							<p>{weightSentence(product.weighing, weighedPlaceOf(run, products, product.id), product.checks)}</p>
							<p>{photoSentence(product)}</p>
							{isRead(product) || product.checks.length > 0 ? <TileFigures figures={figures} label={label} /> : null}
							<NextStep words={nextSentence(product)} />
						</Link>
					</li>
				);
			})}
		</ul>
	);
}

/** What a product's photos and checks say. */
function TileFigures({ figures, label }: { readonly figures: RunFigures; readonly label: string }) {
	if (figures.kind === 'none') return <p className="soft">{BEING_WORKED_OUT}</p>;
	const { grades, checked } = figures.worked;
	const grade = grades[label];
	const found = checked[label];
	const told = found && checkedCopperSentence(found);
	return (
		<>
			{grade === undefined ? null : (
				<GradeLines sentences={gradeSentences(grade.massFraction)} copper={grade.massFraction.copper} />
			)}
			{told === undefined ? null : (
				<p>
					{told}
					{found && isDisagreement(found) ? <strong> The estimates disagree.</strong> : null}
				</p>
			)}
			{figures.kind === 'present' ? null : <p className="soft">{beforeWords(figures.before)}</p>}
		</>
	);
}

function NextStep({ words }: { readonly words: string | undefined }) {
	return words === undefined ? null : (
		<p className="to-do">
			<strong>{words}</strong>
		</p>
	);
}

function GradeLines({
	sentences: [first, ...rest],
	copper,
}: {
	readonly sentences: readonly string[];
	readonly copper: Estimate;
}) {
	return (
		<>
			<p className="big">{first}</p>
			<span aria-hidden="true">
				<IntervalPlot share={copper} label="Copper" isLabelled />
			</span>
			<p>{rest.join(' ')}</p>
		</>
	);
}

function photoSentence(product: ProductOnBoard): string {
	const { spreads } = product;
	const { waiting } = unreadPhotosOf(product);
	const photos = spreads.flatMap((spread) => spread.photos);
	if (photos.length === 0) return 'No photos yet.';
	const refused = photos.filter(({ state }) => state.kind === 'refused').length;
	const warned = photos.filter(({ analysis }) => (analysis?.warnings.length ?? 0) > 0).length;
	return [
		`${count(photos.length, 'photo')} of ${count(spreads.length, 'spread')}.`,
		waiting > 0 ? waitingSentence(waiting) : '',
		refused > 0 ? `${count(refused, 'photo')} could not be read.` : '',
		warned > 0 ? `${count(warned, 'photo')} with a warning.` : '',
	]
		.filter(Boolean)
		.join(' ');
}

function nextSentence({ weighing, spreads }: ProductOnBoard): string | undefined {
	const photograph = spreads.length === 0 ? 'photograph' : 'photograph again, or set right what could not be read';
	const toDo = [...(weighing === undefined ? ['weigh'] : []), ...(spreads.some(isPhotographed) ? [] : [photograph])];
	return toDo.length === 0 ? undefined : `Next: ${toDo.join(' and ')}`;
}

function count(n: number, word: string): string {
	return `${n} ${word}${n === 1 ? '' : 's'}`;
}
