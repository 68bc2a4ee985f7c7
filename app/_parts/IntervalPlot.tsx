import { scaleLinear } from 'd3-scale';
import type { Estimate } from '@/lib/quantity/quantity';
import { printShare } from '@/lib/report/format';

const WIDTH = 240;
const HEIGHT = 22;
const MARGIN = 8;

/** A share on the axis from nothing to all: thin line for the range, dot for the best value. The numbers stand beside it. */
export function IntervalPlot({ share, label }: { readonly share: Estimate; readonly label: string }) {
  const x = scaleLinear([0, 1], [MARGIN, WIDTH - MARGIN]).clamp(true);
  const middle = HEIGHT / 2;
  return (
    <svg className="plot" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={`${label}: ${printShare(share)}`}>
      <line className="axis" x1={x(0)} x2={x(1)} y1={middle} y2={middle} strokeWidth="1" />
      {[0, 0.5, 1].map((tick) => (
        <line key={tick} className="axis" x1={x(tick)} x2={x(tick)} y1={middle - 4} y2={middle + 4} strokeWidth="1" />
      ))}
      <line className="range-line" x1={x(share.low)} x2={x(share.high)} y1={middle} y2={middle} />
      {share.belowDetectionLimit ? null : <circle className="best" cx={x(share.value)} cy={middle} r="5" />}
    </svg>
  );
}
