import { expect, test } from 'vitest';
import { cielabOf } from '@/lib/colour/cielab';
import { correctLight } from '@/lib/colour/correctLight';
import { ciede2000 } from '@/lib/colour/difference';
import { lightAt } from '@/lib/colour/falloff';
import { matGreyPlaces, readGreys } from '@/lib/colour/greyPatches';
import { findMat } from '@/lib/photo/findMat';
import { applyHomography } from '@/lib/photo/homography';
import type { Surface } from '@/lib/photo/surface';
import { drawMat, type MatPhoto } from '../photo/drawMat';
import { reflectanceAt } from './reflectanceAt';

const COPPER = [0.55, 0.27, 0.16] as const;
const BLUE = [0.03, 0.08, 0.35] as const;

/** Stripes of copper and blue insulation with bare paper between. */
const stripes = (x: number) => (x % 12 < 3 ? COPPER : x % 12 > 8 ? BLUE : undefined);

function matOf({ raster }: MatPhoto): Surface {
	const mat = findMat(raster);
	if (!mat.found) throw new Error(mat.reason);
	return mat.surface;
}

/** Mean colour difference of corrected copper and insulation from what they were drawn with. */
function piecesOff(photo: MatPhoto): number {
	const surface = matOf(photo);
	const light = correctLight(photo.raster, surface);
	const off: number[] = [];
	for (let x = 25.5; x < 185; x += 12) {
		for (const [dx, truth] of [
			[0, COPPER],
			[9, BLUE],
		] as const) {
			for (const y of [30, 74, 118]) {
				const stripe = Math.floor((x + dx) / 12) * 12 + (dx === 0 ? 1.5 : 10);
				const at = applyHomography(photo.sheetToPx, stripe, y);
				const seen = reflectanceAt(photo.raster, surface, light, Math.floor(at.x), Math.floor(at.y));
				if (stripe > 22 && stripe < 188) off.push(ciede2000(cielabOf(...seen), cielabOf(truth[0], truth[1], truth[2])));
			}
		}
	}
	return off.reduce((s, v) => s + v, 0) / off.length;
}

const WARM = drawMat({ light: () => [0.75, 0.6, 0.4], spread: stripes, noise: 0.005 });

test('under a warm lamp the greys bring copper and insulation back to their own colour', () => {
	const light = correctLight(WARM.raster, matOf(WARM));
	expect(light.source).toBe('patches');
	expect(light.warnings).toEqual([]);
	expect(light.residual).toBeLessThan(1);
	for (const [i, gain] of light.gains.entries()) expect(gain * [0.75, 0.6, 0.4][i]!).toBeCloseTo(1, 1);
	expect(piecesOff(WARM)).toBeLessThan(1.5);
});

test('light that falls to half across the mat, and a soft shadow, are taken out', () => {
	const shadow = (x: number) => 1 - 0.15 * Math.exp(-(((x - 60) / 18) ** 2));
	const photo = drawMat({
		light: (x, y) => {
			const v = (0.9 - 0.45 * (x / 210)) * (1 - 0.1 * (y / 148)) * shadow(x);
			return [v, v * 0.95, v * 0.85];
		},
		spread: stripes,
		noise: 0.005,
	});
	expect(piecesOff(photo)).toBeLessThan(2);
	const surface = matOf(photo);
	const { falloff } = correctLight(photo.raster, surface);
	const [left] = lightAt(falloff!, 0, 50);
	const [right] = lightAt(falloff!, 170, 50);
	const [inShadow] = lightAt(falloff!, 40, 50);
	// drawn: 0.857 at the field's left edge, 0.493 at its right; 0.85 of the even light in the shadow's middle
	expect(left / right).toBeCloseTo(0.857 / 0.493, 1);
	expect(inShadow / left).toBeCloseTo((0.771 * 0.85) / (0.857 * shadow(20)), 1);
});

test('a camera that rolls off its highlights is straightened where the greys show it', () => {
	const knee = 0.5;
	const rollOff = (v: number) => (v < knee ? v : knee + (1 - knee) * (1 - Math.exp(-(v - knee) / (1 - knee))));
	const photo = drawMat({ light: () => [0.95, 0.95, 0.95], tone: rollOff, spread: stripes });
	const light = correctLight(photo.raster, matOf(photo));
	expect(light.tone.knee).toBeLessThan(1);
	expect(light.residual).toBeLessThan(1);
	expect(piecesOff(photo)).toBeLessThan(1.5);
});

test('no light reaches the greys, no colour is promised', () => {
	const photo = drawMat({ light: (x, y) => (x > 60 && x < 150 && y > 128 ? [0.004, 0.004, 0.004] : [0.8, 0.8, 0.8]) });
	const light = correctLight(photo.raster, matOf(photo));
	expect([light.source, light.gains]).toEqual(['none', [1, 1, 1]]);
	expect(light.warnings.map((w) => w.code)).toEqual(['colour-unreferenced']);
});

test('the mat has five readable greys, and burnt-out ones are left out', () => {
	expect(readGreys(WARM.raster, matGreyPlaces(matOf(WARM)))).toHaveLength(5);
	const burnt = drawMat({ light: () => [1.3, 1.3, 1.3] });
	expect(readGreys(burnt.raster, matGreyPlaces(matOf(burnt))).map((g) => Math.round(g.reflectance * 100))).toEqual([
		58, 35, 18, 7,
	]);
});
