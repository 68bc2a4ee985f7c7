import type { Difference, RunComparison } from '../balance/compareRuns';
import type { ProductAccount, RunAccount, StreamAccount } from '../balance/runAccount';
import { GRADED, type Graded } from '../material/classes';
import type { Estimate } from '../quantity/quantity';
import { comparedFigureName } from './compareSentences';
import { type CsvCell, csvOf } from './exportCsv';
import type { ToldComparison } from './toldComparison';

const ENDS = ['', ' low', ' high'] as const;

/**
 * An account as a table: one line a stream, three columns a figure (best value and the ends of its 95 % range), then a line
 * for each thing that its reader must know.
 *
 * @param hasCarryOver - the run was the first after a change: every line says so
 */
export function accountCsv(account: RunAccount, hasCarryOver = false): string {
  const figures = [
    'dry mass measured kg',
    'dry mass reconciled kg',
    'yield fraction',
    ...GRADED.map((component) => `${component} grade measured fraction`),
    ...GRADED.map((component) => `${component} grade reconciled fraction`),
    ...GRADED.map((component) => `${component} recovery fraction`),
  ];
  const header = [
    'stream',
    'role',
    ...figures.flatMap((name) => ENDS.map((end) => `${name}${end}`)),
    'may hold carry-over',
    'note',
  ];
  const feed = cellsOf('Feed', 'feed', account.feed, undefined);
  const products = account.products.map((product) => cellsOf(product.name, product.role, product, product));
  const loss = account.loss === undefined ? [] : [cellsOf('Stated loss', 'loss', account.loss, undefined)];
  const lines = [feed, ...products, ...loss];
  return csvOf(header, [
    ...lines.map((line) => [...line, hasCarryOver ? 'yes' : 'no', undefined]),
    ...account.warnings.map(({ message }) => noteLine(header.length, 'Run', message)),
  ]);
}

function cellsOf(name: string, role: string, stream: StreamAccount, product: ProductAccount | undefined): CsvCell[] {
  const graded = (of: (component: Graded) => Estimate | undefined) =>
    GRADED.flatMap((component) => three(of(component)));
  return [
    name,
    role,
    ...three(stream.dryMassKg.measured),
    ...three(stream.dryMassKg.reconciled),
    ...three(product?.yieldFraction),
    ...graded((component) => stream.massFraction.measured[component]),
    ...graded((component) => stream.massFraction.reconciled[component]),
    ...graded((component) => product?.recovery[component]),
  ];
}

/** A line that holds a sentence instead of figures. */
function noteLine(cells: number, name: string, note: string): CsvCell[] {
  return [name, ...Array.from({ length: cells - 2 }, () => undefined), note];
}

function three(estimate: Estimate | undefined): CsvCell[] {
  return [estimate?.value, estimate?.low, estimate?.high];
}

/** Comparisons as a table: one line a figure, then what can't be compared; shares are fractions, probabilities 0 to 1. */
export function comparisonCsv(comparisons: readonly ToldComparison[]): string {
  const columns = ['base', 'other', 'difference'].flatMap((name) => ENDS.map((end) => `${name} fraction${end}`));
  const header = ['base run', 'other run', 'figure', ...columns, 'probability better', 'probability higher', 'note'];
  const line = ({ base, other }: RunComparison, difference: Difference): CsvCell[] => [
    base,
    other,
    comparedFigureName(difference),
    ...three(difference.base),
    ...three(difference.other),
    ...three(difference.difference),
    difference.probabilityBetter,
    difference.probabilityHigher,
    undefined,
  ];
  return csvOf(
    header,
    comparisons.flatMap((comparison) => [
      ...comparison.differences.map((difference) => line(comparison, difference)),
      ...[...comparison.warnings, ...comparison.cannot].map((note) => {
        const [, , ...rest] = noteLine(header.length, '', note);
        return [comparison.base, comparison.other, ...rest];
      }),
    ]),
  );
}
