import type { RunAccount } from '@/lib/balance/runAccount';
import { rerunCannotSentence, rerunSentences, rerunsName } from '@/lib/report/rerunSentences';
import type { PriceSheet } from '@/lib/value/priceSheet';
import type { RerunAccount, RerunPass } from '@/lib/value/rerunAccount';
import { EstimateCell, TextCell } from './EstimateCell';

/**
 * Recovery, grade and load after each rerun, and whether one rerun pays.
 *
 * @param account - undefined where it can't be worked out
 * @param run - the run whose middlings would be fed again
 */
export function RerunResult({
  account,
  run,
  isSplitKnown,
  sheet,
}: {
  readonly account: RerunAccount | undefined;
  readonly run: RunAccount;
  readonly isSplitKnown: boolean;
  readonly sheet: PriceSheet;
}) {
  if (account === undefined) {
    return (
      <section>
        <p className="lead">{rerunCannotSentence(run, isSplitKnown)}</p>
      </section>
    );
  }
  return (
    <section>
      <h2>What it comes to</h2>
      {rerunSentences(account, sheet).map((sentence, k) => (
        <p key={sentence} className={k === 0 ? 'lead' : undefined}>
          {sentence}
        </p>
      ))}
      <PassesTable passes={account.passes} />
    </section>
  );
}

const HEADS = { recovery: 'Copper recovery, %', grade: 'Copper grade, %', again: 'Fed again, % of the feed' } as const;

function PassesTable({ passes }: { readonly passes: readonly RerunPass[] }) {
  return (
    <table className="stack">
      <caption>Concentrates with the middlings fed again</caption>
      <thead>
        <tr>
          <th scope="col">Reruns</th>
          {Object.values(HEADS).map((head) => (
            <th scope="col" className="number" key={head}>
              {head}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {passes.map(({ reruns, recovery, grade, fedAgain }) => (
          <tr key={reruns}>
            <th scope="row">{rerunsName(reruns)}</th>
            <EstimateCell head={HEADS.recovery} estimate={recovery} percent />
            <EstimateCell head={HEADS.grade} estimate={grade} percent />
            {reruns === 0 ? (
              <TextCell head={HEADS.again}>none</TextCell>
            ) : (
              <EstimateCell head={HEADS.again} estimate={fedAgain} percent />
            )}
          </tr>
        ))}
      </tbody>
    </table>
  );
}
