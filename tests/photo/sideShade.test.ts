import { expect, test } from 'vitest';
import { findMat } from '@/lib/photo/findMat';
import { judgePhoto } from '@/lib/photo/judgePhoto';
import { judgeShot } from '@/lib/photo/judgeShot';
import { PaperGround } from '@/lib/photo/paperGround';
import { GROUND, lookAtShades } from '@/lib/photo/sideShade';
import { drawMat } from './drawMat';

const FIELD = { fieldWidthMm: 170, fieldHeightMm: 100 };
/** Wires of 1 mm and 12 mm long, each in a cell of its own and turned further than the last by the golden angle. */
const CELL_MM = 17;

/** Where a place lies beside its cell's wire: along it and across it (towards the light's lee), mm, and how much the light crosses it. */
function beside(x: number, y: number) {
	const [column, row] = [Math.floor(x / CELL_MM), Math.floor(y / CELL_MM)];
	const turn = (2.399963 * (column + 10 * row)) % Math.PI;
	const [dx, dy] = [x - CELL_MM * (column + 0.5), y - CELL_MM * (row + 0.5)];
	// light comes along x; the wire's axis stands at `turn` to it
	const across = dx * Math.sin(turn) - dy * Math.cos(turn);
	return { along: dx * Math.cos(turn) + dy * Math.sin(turn), across, crosses: Math.sin(turn) };
}

/** Wires in hard light at a height of so many degrees, seen from above; the far edge of a round wire's shade is at r (cot e' + 1 / sin e'). */
const litFrom = (deg: number) => (x: number, y: number) => {
	const { along, across, crosses } = beside(x, y);
	if (Math.abs(along) > 6) return GROUND.bare;
	if (Math.abs(across) < 0.5) return GROUND.piece;
	const cot = crosses / Math.tan((deg * Math.PI) / 180);
	return across > 0 && across < 0.5 * (cot + Math.hypot(1, cot)) ? GROUND.shade : GROUND.bare;
};

test.each([
	[30, 0.82],
	[45, 0.43],
	[60, 0.22],
])('wires that lie any way show the shade of light %s degrees high', (deg, expected) => {
	const seen = lookAtShades({ at: litFrom(deg) }, FIELD)?.sideShade ?? 0;
	// a sixth: there are sixty wires, and few lines cross each
	expect(Math.abs(seen / expected - 1)).toBeLessThan(1 / 6);
});

test('dark ground all round pieces is no shade of one light, and nothing spread shows none', () => {
	const allRound = (x: number, y: number) => {
		const { along, across } = beside(x, y);
		if (Math.abs(along) > 6 || Math.abs(across) > 1) return GROUND.bare;
		return Math.abs(across) < 0.5 ? GROUND.piece : GROUND.shade;
	};
	// near nought: few lines cross each of sixty wires
	expect(lookAtShades({ at: allRound }, FIELD)?.sideShade).toBeLessThan(0.15);
	expect(lookAtShades({ at: () => GROUND.bare }, FIELD)).toEqual({ cover: 0 });
	expect(lookAtShades({ at: () => GROUND.outside }, FIELD)).toBeUndefined();
});

const COPPER = [0.5, 0.25, 0.15] as const;
const BLACK = [0.03, 0.03, 0.03] as const;
/** Paper that only the sky lights, a fifth of all light. */
const SKY_LIT = [0.13, 0.17, 0.26] as const;

/** Round pieces, half of them black, each with a dark band on one side or, as wide in all, on both. */
const spread = (bandMm: number, isBoth: boolean) => (x: number, y: number) => {
	const [dx, dy] = [(x % 8) - 4, (y % 8) - 4];
	const half = Math.sqrt(Math.max(0, 4 - dy * dy));
	if (Math.abs(dx) < half) return (Math.floor(x / 8) + Math.floor(y / 8)) % 2 ? COPPER : BLACK;
	const reach = isBoth ? bandMm / 2 : bandMm;
	return half > 0 && (dx > 0 || isBoth) && Math.abs(dx) < half + reach ? SKY_LIT : undefined;
};

function seen(bandMm: number, isBoth = false) {
	const { raster } = drawMat({ spread: spread(bandMm, isBoth), noise: 0.01 });
	const mat = findMat(raster);
	if (!mat.found) throw new Error(mat.reason);
	const shades = lookAtShades(new PaperGround(raster, mat.surface), mat.surface);
	const codes = judgePhoto({ raster, surface: mat.surface, mat, finestStrandMm: 0.2, shades }).map(({ code }) => code);
	return { codes, advice: judgeShot(raster, 1, 0.2).advice?.code };
}

test('pieces that cast long shades to one side are told of, at the shot too', () => {
	expect(seen(2)).toEqual({ codes: ['side-light'], advice: 'side-light' });
	expect(seen(2, true)).toEqual({ codes: [], advice: undefined });
	expect(seen(0.4)).toEqual({ codes: [], advice: undefined });
});
