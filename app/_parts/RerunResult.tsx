import { estimateOfDrawn } from '@/lib/balance/drawn';
import { type AfterPasses, afterReruns, type RerunSplit } from '@/lib/balance/rerunCircuit';
import { loadSentence, rerunSentence, rerunsName, stockSentence } from '@/lib/report/rerunSentences';
import type { DrawnRun } from '@/lib/store/analysis';
import { ratesOf } from '@/lib/value/marginModel';
import { currencyOf, type PriceSheet } from '@/lib/value/priceSheet';
import { rerunValueOf } from '@/lib/value/rerunValue';
import { EstimateCell } from './EstimateCell';

const RERUNS = [0, 1, 2, 3, Number.POSITIVE_INFINITY] as const;

/** Recovery, grade and load after each rerun, and whether one rerun pays. */
export function RerunResult({
  drawn,
  split,
  sheet,
  batchKg,
}: {
  readonly drawn: DrawnRun;
  readonly split: RerunSplit | undefined;
  readonly sheet: PriceSheet;
  readonly batchKg?: number;
}) {
  const passes = split && afterReruns(drawn, split, RERUNS);
  const [none, one] = passes ?? [];
  const steady = passes?.at(-1);
  if (passes === undefined || none === undefined || one === undefined || steady === undefined) {
    return (
      <p className="lead">
        This can&rsquo;t be worked out yet: the run needs middlings and concentrates, each weighed and graded
        {split === undefined ? ', and so does the run that the split is taken from' : ''}.
      </p>
    );
  }
  const currency = currencyOf(sheet) ?? '';
  const steadyLoad = estimateOfDrawn(steady.fedAgain);
  const middlings = drawn.account.together.middlings;
  const rates = ratesOf(sheet);
  const worth = rates.pricePerKg.copper * rates.payable.copper;
  return (
    <section>
      <h2>What it comes to</h2>
      <p className="lead">{rerunSentence(rerunValueOf(none, one, sheet), sheet, currency)}</p>
      {steadyLoad === undefined ? null : <p>{loadSentence(steadyLoad)}</p>}
      {batchKg === undefined ||
      middlings?.dryMassKg === undefined ||
      middlings.massFraction.copper === undefined ? null : (
        <p>
          {stockSentence({
            batchKg,
            middlingsKg: middlings.dryMassKg,
            copperFraction: middlings.massFraction.copper,
            worthPerKg: worth > 0 ? worth : undefined,
            currency,
          })}
        </p>
      )}
      <PassesTable passes={passes} />
    </section>
  );
}

const HEADS = { recovery: 'Copper recovery, %', grade: 'Copper grade, %', again: 'Fed again, % of the feed' } as const;

function PassesTable({ passes }: { readonly passes: readonly AfterPasses[] }) {
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
            <EstimateCell head={HEADS.recovery} estimate={estimateOfDrawn(recovery)} percent />
            <EstimateCell head={HEADS.grade} estimate={estimateOfDrawn(grade)} percent />
            <EstimateCell head={HEADS.again} estimate={estimateOfDrawn(fedAgain)} percent />
          </tr>
        ))}
      </tbody>
    </table>
  );
}
