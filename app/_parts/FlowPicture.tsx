import type { FlowBand, FlowDiagram } from '@/lib/report/flowDiagram';
import { printMass, printShareShort } from '@/lib/report/format';

const [WIDTH, FEED_X, BIN_X, BAR] = [360, 4, 150, 10] as const;

/** Feed to bins as bands; every band has its numbers beside it, so nothing is told by width or colour alone. */
export function FlowPicture({ diagram, title }: { readonly diagram: FlowDiagram; readonly title: string }) {
	const { bands, height, feedY, feedHeight, feedKg } = diagram;
	return (
		<svg
			className={`flow flow-${diagram.flow}`}
			viewBox={`0 -22 ${WIDTH} ${height + 30}`}
			role="img"
			aria-label={title}
		>
			<text x={FEED_X} y={-8} className="flow-name">
				{feedKg === undefined ? 'Feed' : `Feed ${printMass(feedKg)}`}
			</text>
			<rect className="flow-bar" x={FEED_X} y={feedY} width={BAR} height={feedHeight} />
			{bands.map((band) => (
				<Band key={band.id} band={band} />
			))}
		</svg>
	);
}

function Band({ band }: { readonly band: FlowBand }) {
	const { name, height, fromY, toY, labelY, amountKg, shareOfFeed } = band;
	const [left, right, bend] = [FEED_X + BAR, BIN_X, (FEED_X + BAR + BIN_X) / 2];
	const edge = `M${left} ${fromY} C${bend} ${fromY} ${bend} ${toY} ${right} ${toY}`;
	const back = `L${right} ${toY + height} C${bend} ${toY + height} ${bend} ${fromY + height} ${left} ${fromY + height} Z`;
	return (
		<g>
			<path className="flow-band" d={`${edge} ${back}`} />
			<rect className="flow-bar" x={BIN_X} y={toY} width={BAR} height={Math.max(1, height)} />
			<text x={BIN_X + BAR + 8} y={labelY + 15} className="flow-name">
				{name.length > 24 ? `${name.slice(0, 23)}…` : name}
			</text>
			<text x={BIN_X + BAR + 8} y={labelY + 32}>
				{printShareShort(shareOfFeed)}
			</text>
			<text x={BIN_X + BAR + 8} y={labelY + 48}>
				{printMass(amountKg)}
			</text>
		</g>
	);
}
