import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound, redirect } from 'next/navigation';
import { CarryOverNote } from '@/app/_parts/CarryOverNote';
import { DemoNotice } from '@/app/_parts/DemoNotice';
import { FiguresNote } from '@/app/_parts/FiguresNote';
import { findBoard } from '@/app/_parts/findBoard';
import { findOr404 } from '@/app/_parts/findOr404';
import { ProductGrade } from '@/app/_parts/ProductGrade';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { SpreadCards } from '@/app/_parts/SpreadCards';
import { Trail } from '@/app/_parts/Trail';
import { UndoBar } from '@/app/_parts/UndoBar';
import { UploadPhotos } from '@/app/_parts/UploadPhotos';
import { noGradeReason } from '@/lib/report/progressSentences';
import { warningsBySpread } from '@/lib/report/recordSeen';
import { COVERAGE_SENTENCE, ROLE_NAMES } from '@/lib/report/sentences';
import { weightSentence } from '@/lib/report/weightSentence';
import { getProduct } from '@/lib/store/products';
import { QUICK_RUN_ID } from '@/lib/store/quickIds';
import { figuresOf } from '@/lib/store/runFigures';
import { labelsOf } from '@/lib/store/runProducts';
import { theStore } from '@/lib/store/theStore';
import { isRead, isSpreadRead, type ProductOnBoard, unreadPhotosOf, weighedPlaceOf } from '@/lib/store/workedRun';

export async function generateMetadata({ params }: PageProps<'/runs/[runId]/products/[productId]'>): Promise<Metadata> {
	const { store } = await theStore();
	const product = await findOr404((await params).productId, (id) => getProduct(store, id));
	return { title: product.name };
}

function warnedPhotosOf({ spreads }: ProductOnBoard) {
	return spreads.flatMap(({ number, photos }) =>
		photos.map(({ analysis }) => ({ spread: number, warnings: analysis?.warnings ?? [] })),
	);
}

/** One product: its weight, its photos and its grade. */
export default async function ProductPage({ params, searchParams }: PageProps<'/runs/[runId]/products/[productId]'>) {
	const running = await theStore();
	const { store, pool } = running;
	const { productId } = await params;
	const { runId } = await findOr404(productId, (id) => getProduct(store, id));
	if (runId === QUICK_RUN_ID) redirect(`/quick/${productId}`);
	const { board, progress } = await findBoard(running, runId);
	const product = board.products.find(({ id }) => id === productId);
	if (product === undefined) notFound();
	const label = labelsOf(board.products).get(product.id) ?? '';
	const figures = await figuresOf(store, pool, board);
	return (
		<>
			<UndoBar query={await searchParams} />
			<Trail steps={[{ href: `/runs/${runId}`, label: board.run.name }]} />
			<h1>{product.name}</h1>
			<p>
				{product.name.startsWith(ROLE_NAMES[product.role]) ? '' : `${ROLE_NAMES[product.role]}. `}
				{COVERAGE_SENTENCE}
			</p>
			{board.run.demo ? <DemoNotice /> : null}
			<ReadingProgress run={runId} initial={progress} />
			<section>
				<h2>Weight</h2>
				<p>{weightSentence(product.weighing, weighedPlaceOf(board.run, board.products, product.id), product.checks)}</p>
				<div className="actions">
					<Link
						className={product.weighing === undefined ? 'button main' : 'button'}
						href={`/runs/${runId}/products/${product.id}/weigh`}
					>
						{product.weighing === undefined ? 'Weigh' : 'Change the weight'}
					</Link>
				</div>
			</section>
			<section>
				<h2>Photos</h2>
				<details open={product.spreads.length === 0}>
					<summary>How to spread and photograph</summary>
					<ul>
						<li>
							Mix the bin, take small scoops from several depths, and spread them one layer thick inside the mat&rsquo;s
							field.
						</li>
						<li>Drain or dry first: wet shine hides pieces.</li>
						<li>Hold the phone level above the mat so that all four corner marks show; rest your arms, no flash.</li>
						<li>
							Three spreads tell more than three photos of one. Only granules and mat in the picture, no people or
							papers.
						</li>
						<li>Take samples from the bins, never from the moving deck. Keep the phone clear of splash.</li>
					</ul>
					<p>
						With drawings: <Link href="/help/spreading">how to spread</Link>,{' '}
						<Link href="/help/shooting">how to shoot</Link>.
					</p>
				</details>
				<UploadPhotos product={product.id} />
				<SpreadCards runId={runId} spreads={product.spreads} />
			</section>
			<section>
				<h2>Grade</h2>
				<CarryOverNote settings={board.run.settings} />
				{isRead(product) || product.checks.length > 0 ? (
					<>
						<FiguresNote figures={figures} />
						{figures.kind === 'none' ? null : (
							<ProductGrade
								label={label}
								worked={figures.worked}
								unread={unreadPhotosOf(product)}
								warnings={warningsBySpread(warnedPhotosOf(product))}
								spreads={product.spreads.filter(isSpreadRead).length}
							/>
						)}
					</>
				) : (
					<p>Not known by photos yet: {noGradeReason(unreadPhotosOf(product))}</p>
				)}
				<div className="actions">
					<Link className="button" href={`/runs/${runId}/products/${product.id}/budget`}>
						Why this range?
					</Link>
					<Link className="button" href={`/runs/${runId}/products/${product.id}/checks`}>
						{product.checks.length === 0 ? 'Check by hand or laboratory' : `Checks (${product.checks.length})`}
					</Link>
					{product.spreads.length === 0 ? null : (
						<Link className="button" href={`/records/new?product=${product.id}`}>
							Make the record
						</Link>
					)}
				</div>
			</section>
			<div className="actions">
				<Link className="button quiet" href={`/runs/${runId}/products/${product.id}/edit`}>
					Change name or kind, or remove
				</Link>
			</div>
		</>
	);
}
