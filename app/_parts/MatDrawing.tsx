import type { MatGeometry } from '@/lib/photo/matGeometry';

/** A sketch of the mat with its parts named; the marks are plain squares here, so that nobody prints this one. */
export function MatDrawing({ geometry }: { readonly geometry: MatGeometry }) {
	const { sheetWidthMm, sheetHeightMm, fiducials, patches, field, checkLine } = geometry;
	return (
		<figure className="narrow">
			<svg
				viewBox={`-1 -1 ${sheetWidthMm + 2} ${sheetHeightMm + 2}`}
				width="100%"
				role="img"
				aria-label="Sketch of the mat: four corner marks, the frame for the sample, five grey patches below it, a check line above it"
			>
				<rect width={sheetWidthMm} height={sheetHeightMm} fill="#fff" stroke="#444" />
				{fiducials.map((mark) => (
					<rect key={mark.id} x={mark.x} y={mark.y} width={mark.width} height={mark.height} fill="#222" />
				))}
				<rect
					x={field.x}
					y={field.y}
					width={field.width}
					height={field.height}
					fill="none"
					stroke="#222"
					strokeWidth="0.8"
				/>
				{patches.map(({ x, y, width, height, code }) => (
					<rect
						key={code}
						x={x}
						y={y}
						width={width}
						height={height}
						fill={`rgb(${code} ${code} ${code})`}
						stroke="#888"
						strokeWidth="0.3"
					/>
				))}
				<line
					x1={checkLine.from.x}
					y1={checkLine.from.y}
					x2={checkLine.to.x}
					y2={checkLine.to.y}
					stroke="#222"
					strokeWidth="0.8"
				/>
				<g fontSize="7" fill="#222" textAnchor="middle">
					<text x={sheetWidthMm / 2} y={checkLine.from.y + 9}>
						check line, 100 mm
					</text>
					<text x={field.x + field.width / 2} y={field.y + field.height / 2}>
						spread the sample here, one layer
					</text>
				</g>
			</svg>
			<figcaption>A sketch. Print the sheet below.</figcaption>
		</figure>
	);
}
