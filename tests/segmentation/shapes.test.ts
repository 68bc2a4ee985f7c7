import v8 from 'node:v8';
import vm from 'node:vm';
import { expect, test } from 'vitest';
import { correctLight } from '@/lib/colour/correctLight';
import { locateSurface } from '@/lib/photo/locateSurface';
import type { Raster } from '@/lib/photo/raster';
import { relabelled } from '@/lib/segmentation/classMap';
import { fieldCopy } from '@/lib/segmentation/fieldCopy';
import { drawMat } from '../photo/drawMat';

v8.setFlagsFromString('--allow-natives-syntax');
const haveOneShape: (a: object, b: object) => boolean = vm.runInThisContext('(a, b) => %HaveSameMap(a, b)');

/** What goes through a reading, made anew from a photo. */
function parts(raster: Raster) {
	const { surface } = locateSurface(raster, { surface: 'auto' });
	const light = correctLight(raster, surface);
	const copy = fieldCopy(raster, surface);
	const { width, height } = copy.raster;
	const labels = new Uint8Array(width * height);
	const map = relabelled({ width, height, columnOffset: 0, rowOffset: 0, labels }, labels, labels);
	return { surface, onCopy: copy.surface, light, falloff: light.falloff ?? {}, copy, map };
}

test('objects have one shape from photo to photo, so that code compiled for one serves the next', () => {
	const { raster } = drawMat();
	const first = parts(raster);
	const second = parts(raster);
	for (const name of ['surface', 'onCopy', 'light', 'falloff', 'copy', 'map'] as const)
		expect(haveOneShape(first[name], second[name]), name).toBe(true);
	expect(haveOneShape(first.surface, first.light)).toBe(false);
});
