import type { ErrorRates, ErrorRatesByKind } from '@/lib/grade/errorRates';
import { type MaterialClass, perClass } from '@/lib/material/classes';
import type { Material } from '@/lib/material/material';
import type { BlockSums, SpreadReading } from '@/lib/particles/spreadReading';

/** A reading whose pieces of each class all have the same area and width, spread evenly over the blocks. */
export function madeReading(
	pieces: Partial<Record<MaterialClass, { count: number; areaMm2: number; widthMm: number }>>,
	blockCount = 60,
): SpreadReading {
	const areaOf = (name: MaterialClass) => (pieces[name]?.count ?? 0) * (pieces[name]?.areaMm2 ?? 0);
	const block: BlockSums = {
		areaMm2: perClass((name) => areaOf(name) / blockCount),
		widthAreaMm3: perClass((name) => (areaOf(name) * (pieces[name]?.widthMm ?? 0)) / blockCount),
		sheetAreaMm2: perClass(() => 0),
		unjudgedMm2: 0,
		fieldMm2: 17_000 / blockCount,
	};
	const areaMm2 = perClass(areaOf);
	return {
		method: 'threshold',
		surfaceKind: 'mat',
		blocks: Array.from({ length: blockCount }, () => block),
		pieces: perClass((name) => {
			const piece = pieces[name];
			const one = piece === undefined ? 0 : piece.areaMm2 * piece.widthMm;
			return {
				count: piece?.count ?? 0,
				meanWidthAreaMm3: one,
				weightedMeanWidthAreaMm3: one,
				medianWidthMm: piece?.widthMm ?? 0,
			};
		}),
		coverageFraction: Object.values(areaMm2).reduce((sum, area) => sum + area, 0) / 17_000,
	};
}

/** A material whose numbers are exact unless changed, so that single causes can be looked at. */
export function madeMaterial(u = { density: 0, factor: 0 }): Material {
	const classOf = (densityKgPerM3: number, copper: number) => ({
		densityKgPerM3: { value: densityKgPerM3, u: u.density * densityKgPerM3 },
		copperFraction: { value: copper, u: 0 },
		shape: {
			kind: 'wire' as const,
			factor: { value: Math.PI / 4, u: (u.factor * Math.PI) / 4 },
			source: 'made for a test',
		},
		colours: [],
		source: 'made for a test',
	});
	return {
		name: 'made',
		note: '',
		classes: {
			brightCopper: classOf(8960, 1),
			tinnedCopper: classOf(8900, 0.98),
			aluminium: classOf(2700, 0),
			insulation: classOf(1400, 0),
			other: classOf(5000, 0),
		},
		lockedCopperPerInsulation: { value: 0, u: 0 },
		finestStrandMm: 0.1,
		farthestDistance: 4,
	};
}

/** Error rates of a method that calls `wrong` of every class something else, evenly, with that scatter of the log. */
export function madeRates(wrong = 0, logSd = 0): ErrorRatesByKind {
	const n = 6;
	const table: ErrorRates = {
		source: 'made for a test',
		scenes: 10,
		rate: Array.from({ length: n }, (_, k) =>
			Array.from({ length: n }, (__, j) => (j === k ? 1 - wrong : wrong / (n - 1))),
		),
		logSd: Array.from({ length: n }, () => Array.from({ length: n }, () => logSd)),
	};
	return { 'threshold-mat': table, 'threshold-tray': table, 'model-mat': table, 'model-tray': table };
}
