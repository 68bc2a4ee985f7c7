import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound } from 'next/navigation';
import { BeingWorkedOut } from '@/app/_parts/FiguresNote';
import { findBoard } from '@/app/_parts/findBoard';
import { findOr404 } from '@/app/_parts/findOr404';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { Trail } from '@/app/_parts/Trail';
import { WhyThisRange } from '@/app/_parts/WhyThisRange';
import { COVERAGE_SENTENCE } from '@/lib/report/sentences';
import { getProduct } from '@/lib/store/products';
import { labelsOf } from '@/lib/store/runProducts';
import { explainAtOnce } from '@/lib/store/runSums';
import { theStore } from '@/lib/store/theStore';
import { unreadPhotosOf } from '@/lib/store/workedRun';

export const metadata: Metadata = { title: 'Why this range?' };

/** What a product's range and the run's recovery are made of, what to measure next, and how much to spread. */
export default async function Budget({ params }: PageProps<'/runs/[runId]/products/[productId]/budget'>) {
	const running = await theStore();
	const { store, pool } = running;
	const { productId } = await params;
	const { runId } = await findOr404(productId, (id) => getProduct(store, id));
	const { board, progress } = await findBoard(running, runId);
	const product = board.products.find(({ id }) => id === productId);
	if (product === undefined) notFound();
	const explained = await explainAtOnce(store, pool, board);
	const isSettled = board.products.every((one) => unreadPhotosOf(one).waiting === 0);
	const awaited = 'awaited' in explained ? explained.awaited : undefined;
	const back = `/runs/${runId}/products/${product.id}`;
	return (
		<>
			<Trail
				steps={[
					{ href: `/runs/${runId}`, label: board.run.name },
					{ href: back, label: product.name },
				]}
			/>
			<h1>Why this range: {product.name}</h1>
			<ReadingProgress run={runId} initial={progress} awaited={awaited} />
			<p>{COVERAGE_SENTENCE}</p>
			{product.checks.length === 0 ? null : (
				<p className="narrow">
					What is explained here is the grade by photos. What its checks say, and all estimates together, stand on{' '}
					<Link href={`${back}/checks`}>the page of its checks</Link>.
				</p>
			)}
			{'awaited' in explained ? (
				isSettled ? (
					<BeingWorkedOut />
				) : (
					<p>What the range is made of is worked out once the photos that wait are read.</p>
				)
			) : (
				<WhyThisRange
					label={labelsOf(board.products).get(product.id) ?? ''}
					explained={explained.result}
					unread={unreadPhotosOf(product)}
				/>
			)}
			<Link className="button" href={`${back}/checks`}>
				Checks
			</Link>
		</>
	);
}
