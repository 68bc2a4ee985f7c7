import { readdir, readFile } from 'node:fs/promises';
import path from 'node:path';
import { parseArgs } from 'node:util';
import { TrayError } from '@/lib/errors/TrayError';
import { gradePhoto } from '@/lib/grade/gradePhoto';
import { measuredErrorRates } from '@/lib/grade/measuredErrorRates';
import { type PhotoReading, readPhoto } from '@/lib/grade/readPhoto';
import { DEFAULT_MATERIAL } from '@/lib/material/defaultMaterial';
import { decodePhoto } from '@/lib/photo/decode';
import type { Raster } from '@/lib/photo/raster';
import type { ClassMap } from '@/lib/segmentation/classMap';
import { openPixelModel } from '@/lib/segmentation/modelFiles';
import {
	areaShareErrors,
	calledShare,
	confusionOf,
	countedShares,
	hairOf,
	hueMap,
	insideOf,
	type Method,
	pixelShare,
	redBrownOf,
	type Scored,
	scoredShare,
	trueShare,
} from './accuracyScore';
import { summaries, summaryText } from './accuracySummary';
import { surfaceRequestFor, type TrayTruth, trayTruthSchema } from './trayTruth';
import { freeCopperOf, readMask, type ScoredMap, scoreTrueMap, trueMapText } from './trueMap';

/**
 * Measures the reading of pictures with known truth: class area shares, grades with their intervals, and, where class masks lie
 * beside the pictures, pixel by pixel. A plain hue and saturation rule for copper is measured on the same pictures.
 *
 * Prints one JSON line a picture and method, one summary line a method and kind, and the figures with their targets beside them.
 * With `--true-map` the pictures' class masks stand in for the reading, so that the step from areas to masses is seen by itself.
 */

const { values, positionals } = parseArgs({
	options: {
		method: { type: 'string' },
		tables: { type: 'boolean', default: false },
		'true-map': { type: 'boolean', default: false },
	},
	allowPositionals: true,
});
const folder = positionals[0] ?? 'demo-images';
const methods = (['threshold', 'model'] as const).filter(
	(method) => values.method === undefined || values.method === method,
);
const isTrueMap = values['true-map'];
const { model } = isTrueMap ? {} : await openPixelModel();
const files = await readdir(folder);
const scored: Scored[] = [];
const refused: string[] = [];
const scoredMaps: ScoredMap[] = [];
for (const file of files.filter((name) => name.endsWith('.jpg')).sort()) {
	const name = path.parse(file).name;
	const truthFile = [`${name}.truth.json`, `${name}.json`].find((candidate) => files.includes(candidate));
	if (truthFile === undefined) continue;
	const truth = trayTruthSchema.parse(JSON.parse(await readFile(path.join(folder, truthFile), 'utf8')));
	const maskFile = files.includes(`${name}.mask.png`) ? path.join(folder, `${name}.mask.png`) : undefined;
	if (isTrueMap) {
		if (maskFile === undefined) continue;
		scoredMaps.push(await scoreTrueMap(name, maskFile, truth));
		console.log(JSON.stringify(scoredMaps.at(-1)));
		continue;
	}
	const { raster } = await decodePhoto(await readFile(path.join(folder, file)));
	const mask = maskFile === undefined ? undefined : (await readMask(maskFile)).data;
	let last: PhotoReading | undefined;
	for (const method of methods) {
		if (method === 'model' && model === undefined) continue;
		const started = performance.now();
		const read = await readPhoto(raster, { ...surfaceRequestFor(truth), method }, DEFAULT_MATERIAL, model).catch(
			refusal,
		);
		if (read instanceof TrayError) {
			refused.push(`${name} ${method}`);
			console.log(JSON.stringify({ ...about(name, method, truth, 0), refused: read.message }));
			continue;
		}
		last = read;
		const tables = gradePhoto(last.reading, DEFAULT_MATERIAL, measuredErrorRates);
		const seconds = (performance.now() - started) / 1000;
		report({
			...about(name, method, truth, seconds),
			areaShareError: areaShareErrors(last, truth),
			copperShare: calledShare(last, 'brightCopper'),
			freeCopper: scoredShare(tables, 'freeCopper', freeCopperOf(truth)),
			copper: scoredShare(tables, 'copper', truth.copper_plus_tinned_mass_fraction),
			densityOnlyFreeCopper: tables.densityOnlyMassFraction.freeCopper.value,
			warnings: last.warnings.map(({ code }) => code),
			counted: countedShares(last),
			...byPixel(last.classMap, insideOf(last), raster, mask),
		});
	}
	if (last === undefined) continue;
	const inside = insideOf(last);
	const byHue = hueMap(last.classMap, inside, raster);
	const copperShare = pixelShare(byHue, 'brightCopper');
	report({
		...about(name, 'hue', truth, 0),
		areaShareError: { brightCopper: 100 * (copperShare - trueShare(truth, 'brightCopper')) },
		copperShare,
		warnings: [],
		...byPixel(byHue, inside, raster, mask),
	});
}
if (isTrueMap) console.log(trueMapText(scoredMaps));
else {
	for (const line of summaries(scored)) console.log(JSON.stringify(line));
	console.log(summaryText(scored));
	console.log(`refused, and in no figure above: ${refused.join(', ') || 'none'}`);
}

/** A picture that is refused is told, and the others are read. */
function refusal(error: unknown): TrayError {
	if (error instanceof TrayError) return error;
	throw error;
}

function report(line: Scored): void {
	scored.push(line);
	const { table: _, counted: __, ...rest } = line;
	console.log(JSON.stringify(values.tables ? line : rest));
}

function about(picture: string, method: Method, { surface, light, product }: TrayTruth, seconds: number) {
	return { picture, method, surface, light, product, seconds };
}

/** What can be said where the true class of every pixel is known. */
function byPixel(map: ClassMap, inside: Uint8Array, raster: Raster, mask: Uint8Array | undefined) {
	if (mask === undefined) return {};
	return {
		table: confusionOf(map, inside, mask, raster.width),
		redBrown: redBrownOf(map, inside, mask, raster),
		hair: hairOf(map, inside, mask, raster.width),
	};
}
