import type { Metadata } from 'next';
import { notFound } from 'next/navigation';
import { nextBin, tableAddress } from '@/app/_forms/tableSteps';
import { findBoard } from '@/app/_parts/findBoard';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { TableShot } from '@/app/_parts/TableShot';
import { Trail } from '@/app/_parts/Trail';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Photograph' };

/** Photograph one bin's spread, look at once whether the picture serves, and go on. */
export default async function TableShoot({ params }: PageProps<'/runs/[runId]/table/[productId]'>) {
  const { runId, productId } = await params;
  const { board, progress } = await findBoard(await theStore(), runId);
  const { run, products } = board;
  const bin = products.find(({ id }) => id === productId);
  if (bin === undefined) notFound();
  const weigh = `/runs/${run.id}/table/${bin.id}/weigh`;
  const next = nextBin(products, bin.id);
  const onwards =
    bin.weighing === undefined
      ? { href: weigh, label: 'Weigh this bin' }
      : { href: tableAddress(run.id, next), label: next === undefined ? 'All bins done' : `Next: ${next.name}` };
  return (
    <div className="at-table">
      <Trail
        steps={[
          { href: `/runs/${run.id}`, label: run.name },
          { href: `/runs/${run.id}/table`, label: 'At the table' },
        ]}
      />
      <h1>Photograph {bin.name}</h1>
      <ReadingProgress run={run.id} initial={progress} />
      <TableShot
        product={bin.id}
        spreads={bin.spreads.map(({ photos }) => photos.map(({ id }) => id))}
        onwards={onwards}
      />
    </div>
  );
}
