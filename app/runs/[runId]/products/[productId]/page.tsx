import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound, redirect } from 'next/navigation';
import { Suspense } from 'react';
import { CarryOverNote } from '@/app/_parts/CarryOverNote';
import { DemoNotice } from '@/app/_parts/DemoNotice';
import { findOr404 } from '@/app/_parts/findOr404';
import { ProductGrade } from '@/app/_parts/ProductGrade';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { SpreadCards } from '@/app/_parts/SpreadCards';
import { Trail } from '@/app/_parts/Trail';
import { UndoBar } from '@/app/_parts/UndoBar';
import { UploadPhotos } from '@/app/_parts/UploadPhotos';
import { warningsBySpread } from '@/lib/report/recordSeen';
import { COVERAGE_SENTENCE, ROLE_NAMES } from '@/lib/report/sentences';
import { weightSentence } from '@/lib/report/weightSentence';
import type { WorkedRun } from '@/lib/store/analysis';
import { getProduct } from '@/lib/store/products';
import { progressOf } from '@/lib/store/progress';
import { QUICK_RUN_ID } from '@/lib/store/quickIds';
import { theStore } from '@/lib/store/theStore';
import { getBoard, labelsOf, type ProductOnBoard, unreadPhotosOf, workOutBoard } from '@/lib/store/workedRun';

export async function generateMetadata({ params }: PageProps<'/runs/[runId]/products/[productId]'>): Promise<Metadata> {
  const { store } = await theStore();
  const product = await findOr404((await params).productId, (id) => getProduct(store, id));
  return { title: product.name };
}

/** The weight with the dry mass as the run's account has it. */
async function WeightLine({
  product,
  label,
  worked,
}: {
  readonly product: ProductOnBoard;
  readonly label: string;
  readonly worked: Promise<WorkedRun>;
}) {
  const { account } = await worked;
  return <p>{weightSentence(product.weighing, account.products.find(({ id }) => id === label)?.dryMassKg)}</p>;
}

function warnedPhotosOf({ spreads }: ProductOnBoard) {
  return spreads.flatMap(({ number, photos }) =>
    photos.map(({ analysis }) => ({ spread: number, warnings: analysis?.warnings ?? [] })),
  );
}

/** One product: its weight, its photos and its grade. */
export default async function ProductPage({ params, searchParams }: PageProps<'/runs/[runId]/products/[productId]'>) {
  const { store, pool } = await theStore();
  const { productId } = await params;
  const { runId } = await findOr404(productId, (id) => getProduct(store, id));
  if (runId === QUICK_RUN_ID) redirect(`/quick/${productId}`);
  const board = await findOr404(runId, (id) => getBoard(store, id));
  const product = board.products.find(({ id }) => id === productId);
  if (product === undefined) notFound();
  const label = labelsOf(board.products).get(product.id) ?? '';
  const worked = workOutBoard(store, pool, board);
  worked.catch(() => undefined);
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
      <ReadingProgress run={runId} initial={await progressOf(store, runId, pool.size)} />
      <section>
        <h2>Weight</h2>
        {product.weighing?.moisture === undefined ? (
          <p>{weightSentence(product.weighing)}</p>
        ) : (
          <Suspense fallback={<p role="status">Working out the dry mass …</p>}>
            <WeightLine product={product} label={label} worked={worked} />
          </Suspense>
        )}
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
        <Suspense fallback={<p role="status">Working out the grade …</p>}>
          <ProductGrade
            label={label}
            worked={worked}
            unread={unreadPhotosOf(product)}
            warnings={warningsBySpread(warnedPhotosOf(product))}
          />
        </Suspense>
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
