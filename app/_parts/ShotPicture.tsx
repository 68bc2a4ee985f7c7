import type { ShotVerdict } from '@/lib/photo/judgeShot';
import type { PointPx } from '@/lib/photo/raster';

/** The photo just taken with the mat, or the tray's likely floor, drawn on it. */
export function ShotPicture({
	address,
	seen,
}: {
	readonly address: string;
	readonly seen?: { readonly verdict: ShotVerdict; readonly widthPx: number; readonly heightPx: number };
}) {
	return (
		<div className="shot-picture">
			{/* the browser's own copy of a file just chosen: nothing to make smaller on the way */}
			<img src={address} alt={altOf(seen?.verdict)} />
			{seen === undefined ? null : <Drawn {...seen} />}
		</div>
	);
}

function altOf(verdict: ShotVerdict | undefined): string {
	if (verdict?.mat !== undefined) return 'The photo with the mat as it was found';
	if (verdict?.tray !== undefined) return "The photo with the tray's likely floor";
	return 'The photo';
}

function Drawn(props: { readonly verdict: ShotVerdict; readonly widthPx: number; readonly heightPx: number }) {
	const { verdict, widthPx, heightPx } = props;
	const outlines = [...(verdict.mat === undefined ? [] : [verdict.mat.field, ...verdict.mat.marks])];
	if (verdict.tray !== undefined) outlines.push(verdict.tray);
	return (
		<svg viewBox={`0 0 ${widthPx} ${heightPx}`} aria-hidden="true">
			{outlines.map((outline) => {
				const points = placesOf(outline, widthPx, heightPx);
				return (
					<g key={points} fill="none" strokeLinejoin="round">
						<polygon points={points} stroke="#000" strokeWidth={widthPx / 100} />
						<polygon points={points} stroke="#fff" strokeWidth={widthPx / 250} />
					</g>
				);
			})}
		</svg>
	);
}

function placesOf(outline: readonly PointPx[], widthPx: number, heightPx: number): string {
	return outline.map(({ x, y }) => `${x * widthPx},${y * heightPx}`).join(' ');
}
