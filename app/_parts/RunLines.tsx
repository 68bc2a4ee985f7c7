import Link from 'next/link';
import { printDay } from '@/lib/report/format';
import type { RunLine } from '@/lib/store/runs';

/** Runs as a list of links. */
export function RunLines({ runs }: { readonly runs: readonly RunLine[] }) {
  return (
    <ul className="lines">
      {runs.map((run) => (
        <li key={run.id}>
          <div className="line-link">
            <Link href={`/runs/${run.id}`}>
              {run.name}, {printDay(run.runDate)}
            </Link>
            <span className="soft">from lot {run.lotName}</span>
            {run.demo ? <span className="demo-mark">demonstration</span> : null}
          </div>
        </li>
      ))}
    </ul>
  );
}
