import { expect, test } from 'vitest';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { TAUGHT_CLASSES, type TaughtClass, type TaughtSpot } from '@/lib/material/taughtSpot';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { openPixelModel } from '@/lib/segmentation/modelFiles';
import { refitLastLayer } from '@/lib/segmentation/refitLastLayer';
import { segment } from '@/lib/segmentation/segment';
import { withFeatures } from '@/lib/segmentation/spotFeatures';
import { flatSurface } from '../particles/shapes';
import { COPPER, PAPER, PLAIN_LIGHT, photo, RED_PLASTIC } from './trays';

const PRIOR = [0.6, 0.1, 0.05, 0.05, 0.15, 0.05];
const INPUTS = 6;

/** A layer that reads class k off input k. */
const HEAD = {
	weights: Float32Array.from({ length: INPUTS * 6 }, (_, at) => (Math.floor(at / 6) === at % 6 ? 4 : 0)),
	bias: new Float32Array(6),
};

/** Spots whose features point at `shows`, said to be `kind`. */
function spots(kind: TaughtClass, shows: number, many: number): TaughtSpot[] {
	const random = seededRandom(7, kind, String(shows));
	return Array.from({ length: many }, (_, k) => ({
		id: `${kind} ${shows} ${k}`,
		photo: 'one',
		class: kind,
		xPx: 20 * k,
		yPx: 0,
		radiusPx: 5,
		colours: [[50, 0, 0]],
		features: Array.from({ length: 8 }, () =>
			Array.from({ length: INPUTS }, (_unused, i) => (i === shows ? 1 : 0) + 0.1 * random.normal()),
		),
	}));
}

/** Spots that the layer calls rightly, torn between two classes. */
function mixed(kind: TaughtClass, shows: number, also: number, many: number): TaughtSpot[] {
	return spots(kind, shows, many).map((spot) => ({
		...spot,
		features: spot.features!.map((vector) => vector.map((x, k) => x + (k === also ? 0.4 : 0))),
	}));
}

function likeliest({ weights, bias }: { weights: Float32Array; bias: Float32Array }, shows: number): number {
	const scores = Array.from(bias, (own, c) => own + weights[shows * 6 + c]!);
	return scores.indexOf(Math.max(...scores));
}

test('spots that the layer calls wrongly teach it, and what it called rightly stays', () => {
	const refit = refitLastLayer(HEAD, PRIOR, [...spots('insulation', 1, 8), ...spots('tinnedCopper', 2, 8)]);
	if (refit === undefined) throw new Error('a refit was expected');
	expect(refit.after).toBeGreaterThan(refit.before);
	expect(likeliest(HEAD, 1)).toBe(TAUGHT_CLASSES.indexOf('brightCopper'));
	expect(likeliest(refit.head, 1)).toBe(TAUGHT_CLASSES.indexOf('insulation'));
	expect(likeliest(refit.head, 2)).toBe(TAUGHT_CLASSES.indexOf('tinnedCopper'));
	expect(likeliest(refit.head, 3)).toBe(TAUGHT_CLASSES.indexOf('aluminium'));
});

test('too few spots, one class alone, or spots without features leave the layer as it is', () => {
	expect(refitLastLayer(HEAD, PRIOR, spots('insulation', 1, 4))).toBeUndefined();
	expect(refitLastLayer(HEAD, PRIOR, spots('insulation', 1, 12))).toBeUndefined();
	const bare = [...spots('insulation', 1, 8), ...spots('tinnedCopper', 2, 8)].map(({ features: _, ...rest }) => rest);
	expect(refitLastLayer(HEAD, PRIOR, bare)).toBeUndefined();
});

test('spots that say nothing that can be learnt change nothing', () => {
	const random = seededRandom(8, 'noise');
	const noise = (['insulation', 'brightCopper'] as const).flatMap((kind) =>
		spots(kind, 4, 10).map((spot) => ({
			...spot,
			features: spot.features!.map((vector) => vector.map(() => random.normal())),
		})),
	);
	const refit = refitLastLayer(
		{ weights: new Float32Array(INPUTS * 6), bias: Float32Array.from(PRIOR, Math.log) },
		PRIOR,
		noise,
	);
	expect(refit).toBeUndefined();
});

test('spots of the layer’s own opinion change nothing, though they would make it surer of itself', () => {
	expect(
		refitLastLayer(HEAD, PRIOR, [...spots('insulation', 4, 6), ...mixed('brightCopper', 1, 4, 6)]),
	).toBeUndefined();
});

test.each([1, 3, 5, 7, 13])('spots of %d pixels teach as well', (many) => {
	const cut = (spot: TaughtSpot) => ({
		...spot,
		features: Array.from({ length: many }, (_, k) => spot.features![k % spot.features!.length]!),
	});
	const all = [...spots('insulation', 1, 8), ...spots('tinnedCopper', 2, 8)].map(cut);
	expect(likeliest(refitLastLayer(HEAD, PRIOR, all)!.head, 1)).toBe(TAUGHT_CLASSES.indexOf('insulation'));
});

test('what lies about the spots stays nearer to what it was', () => {
	const taught = [...spots('insulation', 1, 8), ...spots('tinnedCopper', 2, 8)];
	// half in half of what is taught and of the bare surface, as at a piece's rim
	const rim = [0.5, 0.5, 0, 0, 0, 0];
	const moved = (all: readonly TaughtSpot[]) => {
		const { weights, bias } = refitLastLayer(HEAD, PRIOR, all)!.head;
		const scores = Array.from(bias, (own, c) => own + rim.reduce((sum, x, k) => sum + x * weights[6 * k + c]!, 0));
		const total = scores.reduce((sum, score) => sum + Math.exp(score), 0);
		return Math.exp(scores[TAUGHT_CLASSES.indexOf('insulation')]!) / total;
	};
	const alone = moved(taught);
	const besides = moved(taught.map((spot) => ({ ...spot, beside: [rim, rim] })));
	const before = 1 / (2 * Math.exp(2) + 4);
	expect(alone).toBeGreaterThan(before);
	expect(besides - before).toBeLessThan(0.5 * (alone - before));
});

test('a taught layer is used with its own model, and with no other', async () => {
	const { model } = await openPixelModel();
	if (model === undefined) throw new Error('the model is there');
	const surface = { ...flatSurface(160, 120, 8), kind: 'mat' } as const;
	const raster = photo(160, 120, (x, y) => (y > 60 ? (x < 80 ? COPPER : RED_PLASTIC) : PAPER));
	const circle = { xPx: 40, yPx: 90, radiusPx: 8 };
	const taught = await withFeatures(model, raster, surface, PLAIN_LIGHT, {
		id: 'one',
		photo: 'one',
		class: 'insulation',
		...circle,
		colours: [[50, 0, 0]],
	});
	expect(taught.features).toHaveLength(16);
	expect(taught.beside?.length).toBeGreaterThan(4);
	expect(taught.beside?.[0]).toHaveLength(model.head.weights.length / 6);
	expect(taught.features?.[0]).toHaveLength(model.head.weights.length / 6);

	// a layer that says insulation whatever it sees
	const weights = Array.from(model.head.weights, () => 0);
	const lastLayer = { modelChecksum: model.checksum, weights, bias: [0, 0, 0, 0, 9, 0] };
	const own = await segment(raster, surface, PLAIN_LIGHT, { ...DEFAULT_MATERIAL, lastLayer }, model);
	expect(new Set(own.labels)).toEqual(new Set([4]));
	const other = { ...DEFAULT_MATERIAL, lastLayer: { ...lastLayer, modelChecksum: 'another' } };
	const read = await segment(raster, surface, PLAIN_LIGHT, other, model);
	expect(read.labels[20 * 160 + 80]).toBe(0);
});
