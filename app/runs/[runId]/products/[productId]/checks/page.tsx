import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound } from 'next/navigation';
import { CautionNote } from '@/app/_parts/CautionNote';
import { CheckedEstimates } from '@/app/_parts/CheckedEstimates';
import { CheckForms } from '@/app/_parts/CheckForms';
import { CheckList } from '@/app/_parts/CheckList';
import { FiguresNote } from '@/app/_parts/FiguresNote';
import { findBoard } from '@/app/_parts/findBoard';
import { findOr404 } from '@/app/_parts/findOr404';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { Trail } from '@/app/_parts/Trail';
import { UndoBar } from '@/app/_parts/UndoBar';
import { COVERAGE_SENTENCE } from '@/lib/report/sentences';
import { getProduct } from '@/lib/store/products';
import { figuresOf } from '@/lib/store/runFigures';
import { labelsOf } from '@/lib/store/runProducts';
import { theStore } from '@/lib/store/theStore';
import { unreadPhotosOf } from '@/lib/store/workedRun';

export const metadata: Metadata = { title: 'Checks' };

/** Checks of one product by hand and by laboratories: what they say, those on record, and forms for more. */
export default async function Checks({ params, searchParams }: PageProps<'/runs/[runId]/products/[productId]/checks'>) {
	const running = await theStore();
	const { store, pool } = running;
	const { runId } = await findOr404((await params).productId, (id) => getProduct(store, id));
	const { productId } = await params;
	const { board, progress } = await findBoard(running, runId);
	const product = board.products.find(({ id }) => id === productId);
	if (product === undefined) notFound();
	const figures = await figuresOf(store, pool, board);
	const back = `/runs/${runId}/products/${product.id}`;
	const photographed = product.spreads.filter(({ photos }) => photos.some(({ analysis }) => analysis !== undefined));
	return (
		<>
			<UndoBar query={await searchParams} />
			<Trail
				steps={[
					{ href: `/runs/${runId}`, label: board.run.name },
					{ href: back, label: product.name },
				]}
			/>
			<h1>Checks of {product.name}</h1>
			<p>{COVERAGE_SENTENCE}</p>
			<ReadingProgress run={runId} initial={progress} />
			<FiguresNote figures={figures} />
			{figures.kind === 'none' ? null : (
				<CheckedEstimates
					label={labelsOf(board.products).get(product.id) ?? ''}
					worked={figures.worked}
					isChecked={product.checks.length > 0}
					unread={unreadPhotosOf(product)}
				/>
			)}
			<section>
				<h2>On record</h2>
				{product.checks.length === 0 ? <p>Nothing yet.</p> : null}
				<CheckList checks={product.checks} spreads={product.spreads} />
			</section>
			<section>
				<h2>Enter a check</h2>
				<CautionNote work="sorting" />
				<CheckForms productId={product.id} spreads={photographed} unread={unreadPhotosOf(product)} />
			</section>
			<Link className="button" href={`${back}/budget`}>
				Why this range?
			</Link>
		</>
	);
}
