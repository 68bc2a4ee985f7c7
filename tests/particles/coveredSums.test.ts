import { expect, test } from 'vitest';
import { sumsByKernel, sumsSlowly } from '@/lib/particles/coveredSums';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { pixelsOf, runsOf } from '@/lib/segmentation/labelRuns';

test('the kernel sums covered pixels and their widths as going pixel by pixel does, bit by bit', () => {
	const random = seededRandom(9, 'covered');
	const [width, height] = [61, 40];
	const labels = Uint8Array.from({ length: width * height }, (_, i) =>
		Math.sin(0.3 * i) > 0 ? 1 + (i % 7 === 0 ? 1 : 0) : 0,
	);
	const runs = runsOf(labels, width, height);
	const widths = Float32Array.from({ length: pixelsOf(runs) }, () => 20 * random.uniform());
	const cover = Uint8Array.from(labels, () => Math.floor(256 * random.uniform()));
	expect(sumsByKernel(runs, widths, cover)).toEqual(sumsSlowly(runs, widths, cover));
	expect(sumsByKernel(runs, widths)).toEqual(sumsSlowly(runs, widths));
	const none = runsOf(new Uint8Array(width * height), width, height);
	expect(sumsByKernel(none, new Float32Array(), cover)).toEqual(sumsSlowly(none, new Float32Array(), cover));
});
