import { codeSquares } from '@/lib/report/codeSquares';

/** A code to scan: black on white in dark mode too, since scanners want it so. */
export function CodeToScan({ text, label }: { readonly text: string; readonly label: string }) {
	const { side, path } = codeSquares(text);
	return (
		<svg
			className="scan-code"
			viewBox={`0 0 ${side} ${side}`}
			role="img"
			aria-label={label}
			shapeRendering="crispEdges"
		>
			<rect width={side} height={side} fill="#fff" />
			<path d={path} fill="#000" />
		</svg>
	);
}
