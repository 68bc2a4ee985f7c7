import { scaleLinear } from 'd3-scale';
import type { Estimate } from '@/lib/quantity/quantity';
import { printPercent, printRatioPercent, printShare } from '@/lib/report/format';

const WIDTH = 240;
const HEIGHT = 22;
const LABELS = 16;
const MARGIN = 18;

/**
 * A share on the axis from nothing to all, or on to what passes the whole: a line for the range, a dot for the best value.
 * The numbers stand beside it.
 *
 * @param isLabelled - the axis says its ends; tables say them in their head
 */
export function IntervalPlot(props: {
	readonly share: Estimate;
	readonly label: string;
	readonly isLabelled?: boolean;
}) {
	const { share, label, isLabelled = false } = props;
	const passesWhole = share.low > 1;
	const x = scaleLinear([0, passesWhole ? 2 : 1], [MARGIN, WIDTH - MARGIN]).clamp(true);
	const words = passesWhole ? printRatioPercent(share) : printShare(share);
	const middle = HEIGHT / 2;
	const height = isLabelled ? HEIGHT + LABELS : HEIGHT;
	return (
		<svg className="plot" viewBox={`0 0 ${WIDTH} ${height}`} role="img" aria-label={`${label}: ${words}`}>
			<line className="axis" x1={x(0)} x2={WIDTH - MARGIN} y1={middle} y2={middle} strokeWidth="1" />
			{(passesWhole ? [0, 1, 2] : [0, 0.5, 1]).map((tick) => (
				<g key={tick}>
					<line className="axis" x1={x(tick)} x2={x(tick)} y1={middle - 4} y2={middle + 4} strokeWidth="1" />
					{isLabelled ? (
						<text x={x(tick)} y={HEIGHT + 11} textAnchor="middle">
							{printPercent(tick)}
						</text>
					) : null}
				</g>
			))}
			<line className="range-line" x1={x(share.low)} x2={x(share.high)} y1={middle} y2={middle} />
			{share.belowDetectionLimit ? null : <circle className="best" cx={x(share.value)} cy={middle} r="5" />}
		</svg>
	);
}
