import type { ReactNode } from 'react';
import { printNumber } from '@/lib/report/format';

/** A line drawing for a help page, with words for who cannot see it. */
function Drawing({
	title,
	viewBox,
	children,
}: {
	readonly title: string;
	readonly viewBox: string;
	readonly children: ReactNode;
}) {
	return (
		<svg className="help-drawing" viewBox={viewBox} role="img" aria-label={title}>
			{children}
		</svg>
	);
}

/** Places of pieces on a field of 140 by 90: hand-placed, so that none touch in the first half. */
const LOOSE = [
	[14, 14, 20],
	[40, 24, -30],
	[68, 12, 60],
	[96, 22, 10],
	[122, 14, -50],
	[20, 44, 80],
	[50, 50, 15],
	[78, 42, -20],
	[108, 48, 40],
	[128, 40, 90],
	[16, 74, -10],
	[42, 76, 50],
	[72, 72, -60],
	[100, 76, 25],
	[126, 70, -35],
] as const;

/** A good spread beside a crowded one. */
export function SpreadDrawing() {
	return (
		<Drawing
			title="Left: single pieces with gaps, good. Right: a heap, in which pieces hide others."
			viewBox="0 0 340 132"
		>
			<Field x={8} name="One layer: good" />
			<Field x={188} name="A heap: not this" />
			{LOOSE.map(([x, y, turn]) => (
				<Piece key={`${x} ${y}`} x={8 + x} y={8 + y} turn={turn} dark={(x + y) % 3 === 0} />
			))}
			{LOOSE.flatMap(([x, y, turn]) =>
				[0, 1].map((k) => (
					<Piece
						key={`${x} ${y} ${k}`}
						x={258 + 0.42 * (x - 70) + 9 * k}
						y={52 + 0.5 * (y - 45) + 5 * k}
						turn={turn + 70 * k}
						dark={(x + k) % 3 === 0}
					/>
				)),
			)}
		</Drawing>
	);
}

function Field({ x, name }: { readonly x: number; readonly name: string }) {
	return (
		<>
			<rect className="line" x={x} y={8} width={144} height={92} />
			<text x={x} y={122}>
				{name}
			</text>
		</>
	);
}

function Piece(props: { readonly x: number; readonly y: number; readonly turn: number; readonly dark: boolean }) {
	const { x, y, turn, dark } = props;
	return (
		<rect
			className={dark ? 'solid' : 'open'}
			x={x - 8}
			y={y - 2.5}
			width={16}
			height={5}
			transform={`rotate(${turn} ${x} ${y})`}
		/>
	);
}

/** The phone square above the mat, the lamp to the side. */
export function ShootDrawing() {
	return (
		<Drawing
			title="The phone lies level above the middle of the mat; the lamp stands to the side, so that its mirror image misses the phone."
			viewBox="0 0 340 190"
		>
			<rect className="solid" x={140} y={14} width={56} height={9} />
			<text x={204} y={24}>
				phone, level
			</text>
			<path className="dash" d="M168 24 L92 150 M168 24 L244 150" />
			<rect className="line" x={82} y={150} width={172} height={6} />
			<text x={82} y={178}>
				mat: all four marks in the picture
			</text>
			<circle className="open" cx={34} cy={70} r={13} />
			<text x={6} y={40}>
				lamp
			</text>
			<path className="dash" d="M44 79 L150 149 M150 149 L244 88" />
			<text x={250} y={66}>
				its mirror
			</text>
			<text x={250} y={82}>
				goes past
			</text>
		</Drawing>
	);
}

/** The check line and a rule. */
export function MatCheckDrawing() {
	return (
		<Drawing
			title="A steel rule laid along the check line between the two upper marks of the mat."
			viewBox="0 0 340 150"
		>
			<rect className="line" x={20} y={10} width={300} height={130} />
			<rect className="solid" x={30} y={20} width={26} height={26} />
			<rect className="solid" x={284} y={20} width={26} height={26} />
			<path className="thick" d="M86 34 H254" />
			<path className="line" d="M86 26 V42 M254 26 V42" />
			<text x={128} y={24}>
				100 mm as drawn
			</text>
			<rect className="open" x={74} y={44} width={208} height={20} />
			{Array.from({ length: 11 }, (_, k) => 86 + 16.8 * k).map((x) => (
				<path key={x} className="line" d={`M${x} 44 v8`} />
			))}
			<text x={120} y={84}>
				your rule: 99.2 mm, say
			</text>
			<rect className="line" x={76} y={94} width={188} height={38} />
			<text x={120} y={118}>
				the sample lies here
			</text>
		</Drawing>
	);
}

/** From area to mass: shadow, thickness, density. */
export function MassDrawing() {
	return (
		<Drawing
			title="Seen from above a wire shows its width; cut across, a solid one is pi over 4 of it thick on the mean; density makes mass of volume."
			viewBox="0 0 340 150"
		>
			<rect className="open" x={12} y={40} width={96} height={22} />
			<path className="line" d="M114 40 V62" />
			<text x={12} y={30}>
				area, from above
			</text>
			<text x={12} y={82}>
				width
			</text>
			<circle className="line" cx={176} cy={52} r={18} />
			<path className="dash" d="M152 38 h48 M152 66 h48" />
			<text x={136} y={22}>
				thickness:
			</text>
			<text x={136} y={92}>
				solid: {printNumber(0.79, 2)} of the width
			</text>
			<text x={262} y={46}>
				times
			</text>
			<text x={262} y={62}>
				density
			</text>
			<text x={12} y={124} className="strong">
				mass = area × thickness × density
			</text>
		</Drawing>
	);
}

/** The deck with its bands and bins. */
export function DeckDrawing() {
	return (
		<Drawing
			title="A shaking table from above: feed at the upper left, water along the top, concentrate leaves at the far end, middlings at the corner, tailings along the lower side."
			viewBox="0 0 340 190"
		>
			<path className="line" d="M20 30 H240 L216 140 H20 Z" />
			{[52, 70, 88, 106].map((y, k) => (
				<path key={y} className="dash" d={`M30 ${y} H${150 + 14 * k}`} />
			))}
			<text x={24} y={22}>
				feed and wash water
			</text>
			<text x={158} y={50}>
				riffles
			</text>
			<path className="thick" d="M243 34 L234 76" />
			<text x={250} y={58} className="strong">
				concentrate
			</text>
			<path className="thick" d="M231 90 L222 132" />
			<text x={238} y={118} className="strong">
				middlings
			</text>
			<path className="thick" d="M40 147 H200" />
			<text x={88} y={167} className="strong">
				tailings
			</text>
			<text x={20} y={186}>
				shaken along its length
			</text>
		</Drawing>
	);
}
