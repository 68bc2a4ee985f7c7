import {
  agreementSentence,
  contradictionSentence,
  learnedSentence,
  magnetSentence,
  ORIGIN_NAMES,
} from '@/lib/report/checkSentences';
import { printNumber, printShare } from '@/lib/report/format';
import type { WorkedRun } from '@/lib/store/analysis';
import { IntervalPlot } from './IntervalPlot';

/** All estimates of a product's copper side by side, whether they agree, and what hand sorts taught. */
export async function CheckedEstimates({
  label,
  worked,
}: {
  readonly label: string;
  readonly worked: Promise<WorkedRun>;
}) {
  const { checked, lockedCopper, sorting, grades } = await worked;
  const found = checked[label];
  const locked = lockedCopper[label];
  const photos = grades[label]?.massFraction.copper;
  const magnet = found === undefined ? undefined : magnetSentence(found);
  const trouble = contradictionSentence(sorting);
  return (
    <>
      {found === undefined ? (
        <p>
          No check yet.{' '}
          {photos === undefined ? 'Nothing was photographed either.' : `Copper by photos alone: ${printShare(photos)}.`}
        </p>
      ) : (
        <>
          <p className="lead">Copper, all estimates together: {printShare(found.combined)}.</p>
          <p>{agreementSentence(found)} The balance goes on with this figure.</p>
          <table className="stack">
            <caption>Copper in the dry product, by each way</caption>
            <thead>
              <tr>
                <th scope="col">By</th>
                <th scope="col">Copper (range)</th>
                <th scope="col">0 to 100 %</th>
                <th scope="col">From the rest, standard deviations</th>
              </tr>
            </thead>
            <tbody>
              {found.estimates.map((estimate) => (
                <tr key={`${estimate.origin} ${estimate.value} ${estimate.u}`}>
                  <th scope="row">{ORIGIN_NAMES[estimate.origin]}</th>
                  <td className="wide">{printShare(estimate)}</td>
                  <td className="wide">
                    <IntervalPlot share={estimate} label={ORIGIN_NAMES[estimate.origin]} />
                  </td>
                  <td data-head="From the rest, standard deviations">
                    {estimate.deviations === undefined ? '' : printNumber(estimate.deviations, 1)}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
          {magnet === undefined ? null : <p>{magnet}</p>}
        </>
      )}
      {locked === undefined ? null : (
        <p>
          Of the dry product, {printShare(locked)} is copper locked in insulation; it is counted in copper, not in free
          copper.
        </p>
      )}
      {sorting.learned.length === 0 ? null : (
        <>
          <h3>What the hand sorts of this run say about the material</h3>
          <ul>
            {sorting.learned.map((one) => (
              <li key={one.name}>{learnedSentence(one)}</li>
            ))}
          </ul>
          <p>{trouble ?? 'No pile contradicts the others.'}</p>
        </>
      )}
    </>
  );
}
