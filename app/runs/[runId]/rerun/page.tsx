import type { Metadata } from 'next';
import Link from 'next/link';
import type { Problem } from '@/app/_forms/formState';
import { readRerunForm } from '@/app/_forms/rerunForm';
import { splitFrom } from '@/app/_parts/askedRerun';
import { CarryOverNote } from '@/app/_parts/CarryOverNote';
import { findBoard } from '@/app/_parts/findBoard';
import { PrintButton } from '@/app/_parts/PrintButton';
import { ReadingProgress } from '@/app/_parts/ReadingProgress';
import { RerunForm } from '@/app/_parts/RerunForm';
import { RerunResult } from '@/app/_parts/RerunResult';
import { Trail } from '@/app/_parts/Trail';
import type { RerunSplit } from '@/lib/balance/rerunCircuit';
import { TrayError } from '@/lib/errors/TrayError';
import { COVERAGE_SENTENCE, ESTIMATE_SENTENCE } from '@/lib/report/sentences';
import { drawBoard } from '@/lib/store/drawnRun';
import { latestPrices } from '@/lib/store/prices';
import { listRuns } from '@/lib/store/runs';
import { theStore } from '@/lib/store/theStore';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import { rerunAccountOf } from '@/lib/value/rerunAccount';

export const metadata: Metadata = { title: 'Rerun the middlings?' };

/** What feeding the middlings again comes to: recovery, grade, load on the table, and whether it pays. */
export default async function RerunPage({ params, searchParams }: PageProps<'/runs/[runId]/rerun'>) {
  const running = await theStore();
  const { store, pool } = running;
  const { board, progress } = await findBoard(running, (await params).runId);
  const { run } = board;
  const typed = Object.fromEntries(
    Object.entries(await searchParams).flatMap(([name, value]) => (typeof value === 'string' ? [[name, value]] : [])),
  );
  const { source, batchKg, fields } = readRerunForm(typed);
  const drawn = await drawBoard(store, pool, board);
  const problems: Problem[] = [...fields.problems];
  let split: RerunSplit | undefined;
  if (problems.length === 0) {
    try {
      split = await splitFrom(store, pool, source, drawn);
    } catch (cause) {
      if (!(cause instanceof TrayError)) throw cause;
      problems.push({ field: '', message: `${cause.message} ${cause.hint}` });
    }
  }
  const others = (await listRuns(store)).filter(({ id }) => id !== run.id);
  const kept = await latestPrices(store);
  const sheet = kept?.sheet ?? priceSheetSchema.parse({ deckside: 'prices/1' });
  const account = split && rerunAccountOf(drawn, split, { sheet, batchKg });
  return (
    <>
      <Trail steps={[{ href: `/runs/${run.id}`, label: run.name }]} />
      <h1>Rerun the middlings of {run.name}?</h1>
      <ReadingProgress run={run.id} initial={progress} />
      <CarryOverNote settings={run.settings} />
      <RerunForm runs={others.map(({ id, name }) => ({ id, name }))} typed={typed} problems={problems} />
      {problems.length > 0 ? null : (
        <RerunResult account={account} run={drawn.account} isSplitKnown={split !== undefined} sheet={sheet} />
      )}
      <p className="narrow">
        {ESTIMATE_SENTENCE} {COVERAGE_SENTENCE}
      </p>
      <div className="actions">
        <Link className="button quiet" href={`/runs/${run.id}/money/prices`}>
          {kept === undefined ? 'Enter prices' : 'Change prices'}
        </Link>
        <PrintButton />
        {account === undefined ? null : (
          <>
            <a className="button quiet" href={`/runs/${run.id}/rerun/rerun.csv?${new URLSearchParams(typed)}`} download>
              Save as a table (CSV)
            </a>
            <a
              className="button quiet"
              href={`/runs/${run.id}/rerun/rerun.json?${new URLSearchParams(typed)}`}
              download
            >
              Save as JSON
            </a>
          </>
        )}
      </div>
    </>
  );
}
