import type { Estimate } from '@/lib/quantity/quantity';
import { printShare } from '@/lib/report/format';
import { IntervalPlot } from './IntervalPlot';

/** One line of a table of shares. */
export interface ShareLine {
  readonly name: string;
  readonly share: Estimate;
  /** A second figure to compare with, such as the plain density-only one. */
  readonly beside?: Estimate;
}

/** Shares with their ranges, in numbers and as lines on one axis from 0 to 100 %. */
export function ShareTable({
  caption,
  lines,
  besideHead,
}: {
  readonly caption: string;
  readonly lines: readonly ShareLine[];
  readonly besideHead?: string;
}) {
  return (
    // a wide table scrolls inside its box, so the box takes the keyboard
    // biome-ignore lint/a11y/noNoninteractiveTabindex: the box scrolls
    <section className="table-box" tabIndex={0} aria-label={caption}>
      <table>
        <caption>{caption}</caption>
        <thead>
          <tr>
            <th scope="col">Part</th>
            <th scope="col">Share (range)</th>
            <th scope="col">0 to 100 %</th>
            {besideHead === undefined ? null : <th scope="col">{besideHead}</th>}
          </tr>
        </thead>
        <tbody>
          {lines.map(({ name, share, beside }) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              <td>{printShare(share)}</td>
              <td>
                <IntervalPlot share={share} label={name} />
              </td>
              {besideHead === undefined ? null : <td>{beside === undefined ? 'not known' : printShare(beside)}</td>}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
