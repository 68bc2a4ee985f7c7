import { readFile } from 'node:fs/promises';
import sharp, { type Sharp } from 'sharp';
import { correctLight } from '@/lib/colour/correctLight';
import { gradePhoto } from '@/lib/grade/gradePhoto';
import { measuredErrorRates } from '@/lib/grade/measuredErrorRates';
import { readPhoto } from '@/lib/grade/readPhoto';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import type { Material } from '@/lib/material/material';
import { DECODER_THREADS, decodePhoto } from '@/lib/photo/decode';
import { locateSurface } from '@/lib/photo/locateSurface';
import { edgePicture } from '@/lib/report/edgePicture';
import { quickOutlines } from '@/lib/report/quickOutlines';
import { openPixelModel } from '@/lib/segmentation/modelFiles';
import { openTeachingView } from '@/lib/segmentation/teachingView';
import { partnerFromSource } from './networkPartner';

const DEMO_PHOTO = 'demo-images/dev-run-conc1-tray1.jpg';
const [MATERIAL] = BUILT_IN_MATERIALS;
const MEGABYTE = 1e6;

/** The demonstration's photo at another size, by the quality that most phones write. Enlarged it is smooth: 0.13 bytes a pixel. */
export async function photoOf(megapixels: number): Promise<Buffer> {
	return (await resized(megapixels)).jpeg({ quality: 92 }).toBuffer();
}

/**
 * The same with grain of its own in each pixel, finely written: 0.4 bytes a pixel, as phones' largest files have (from memory). Such a
 * file takes longer to decode, since its bytes are more, and no longer to grade.
 */
async function grainyPhotoOf(megapixels: number): Promise<Buffer> {
	const { data, info } = await (await resized(megapixels)).raw().toBuffer({ resolveWithObject: true });
	const { width, height, channels } = info;
	const noise = { type: 'gaussian', mean: GREY, sigma: GRAIN_CODES } as const;
	const grain = await sharp({ create: { width, height, channels: 3, background: 'black', noise } })
		.raw()
		.toBuffer();
	for (let i = 0; i < data.length; i++) data[i] = Math.min(255, Math.max(0, data[i]! + grain[i]! - GREY));
	return sharp(data, { raw: { width, height, channels } }).jpeg({ quality: 97 }).toBuffer();
}
const GREY = 128;
/** Standard deviation of the grain. */
const GRAIN_CODES = 3;

async function resized(megapixels: number): Promise<Sharp> {
	const bytes = await readFile(DEMO_PHOTO);
	const { width = 1, height = 1 } = await sharp(bytes).metadata();
	const k = Math.sqrt((megapixels * 1e6) / (width * height));
	return sharp(bytes).resize(Math.round(k * width));
}

/** Processor time and clock time of one piece of work, ms. */
export async function timed(work: () => Promise<unknown>): Promise<{ clockMs: number; processorMs: number }> {
	const [started, used] = [performance.now(), process.cpuUsage()];
	await work();
	const { user, system } = process.cpuUsage(used);
	return { clockMs: performance.now() - started, processorMs: (user + system) / 1e3 };
}

/** The middle of some values, the upper one of two. */
export function median(values: readonly number[]): number {
	return [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
}

/** Threads that sharp alone takes on glibc: decoding is compared with sharp as it comes. */
const SHARP_THREADS = 1;

/** Photos read first, that memory is measured on: what decoding alone leaves does not lie beside them. */
const ALONE = 3;

/** Photos after which the compiler has seen all there is: from here on a thread that reads photos all day goes. */
const WARM_AFTER = 15;

/**
 * One photo from its bytes to its grade, paired with decoding alone: median of pairs, in time by the clock and of the processor
 * (which others on the machine disturb less). Memory is this process's highest over what it holds before the first photo, while photos are
 * read one after the other. The first ones are compiled as they are read; what is called warm is of later ones, as a server's threads read them.
 */
export async function benchPhoto(
	megapixels: number,
	method: 'threshold' | 'model',
	file: 'smooth' | 'grainy',
): Promise<object> {
	const bytes = await (file === 'grainy' ? grainyPhotoOf : photoOf)(megapixels);
	const { model } = method === 'model' ? await openPixelModel(undefined, partnerFromSource()) : {};
	global.gc?.();
	const idle = process.memoryUsage.rss();
	let highest = idle;
	const watch = setInterval(() => {
		highest = Math.max(highest, process.memoryUsage.rss());
	}, 5);
	const decode = async () => {
		sharp.concurrency(SHARP_THREADS);
		await sharp(bytes).raw().toBuffer();
		sharp.concurrency(DECODER_THREADS);
	};
	const read = async () => {
		const { raster } = await decodePhoto(bytes);
		const { reading } = await readPhoto(raster, { surface: 'auto', method }, MATERIAL, model);
		highest = Math.max(highest, process.memoryUsage.rss());
		gradePhoto(reading, MATERIAL, measuredErrorRates);
	};
	const pairUp = async () => ({ alone: await timed(decode), whole: await timed(read) });
	for (let photo = 0; photo < ALONE; photo++) await read();
	clearInterval(watch);
	const peak = Math.max(highest, process.resourceUsage().maxRSS * 1024);
	const pairs = [];
	while (pairs.length < (megapixels > 12 ? 2 : 5)) pairs.push(await pairUp());
	const warm = [];
	if (method === 'threshold' && megapixels <= 12) {
		for (let pair = pairs.length + ALONE; pair < WARM_AFTER; pair++) await pairUp();
		while (warm.length < 7) warm.push(await pairUp());
	}
	return {
		what: 'photo',
		megapixels,
		megabytes: rounded(bytes.length / MEGABYTE),
		method,
		pairs: pairs.length,
		decodeMs: Math.round(median(pairs.map(({ alone }) => alone.clockMs))),
		gradeMs: Math.round(median(pairs.map(({ whole }) => whole.clockMs))),
		ratio: ratioOf(pairs),
		processorRatio: processorRatioOf(pairs),
		...(warm.length === 0 ? {} : { warmRatio: ratioOf(warm), warmProcessorRatio: processorRatioOf(warm) }),
		peakMbOverIdle: Math.round((peak - idle) / MEGABYTE),
	};
}

type Spent = Awaited<ReturnType<typeof timed>>;
type Pairs = readonly { readonly alone: Spent; readonly whole: Spent }[];

function ratioOf(pairs: Pairs): number {
	return rounded(median(pairs.map(({ alone, whole }) => whole.clockMs / alone.clockMs)));
}

function processorRatioOf(pairs: Pairs): number {
	return rounded(median(pairs.map(({ alone, whole }) => whole.processorMs / alone.processorMs)));
}

/**
 * One frame of the teaching preview: a class's colours have changed, every pixel is classed anew and the edges are drawn. `stillMs` is
 * what follows once nothing changes any more: classes as in a reading, and outlines.
 */
export async function benchPreview(): Promise<object> {
	const { raster } = await decodePhoto(await photoOf(1));
	const { surface } = locateSurface(raster, { surface: 'auto' });
	const view = openTeachingView(raster, surface, correctLight(raster, surface));
	const { width, height } = view.box;
	const changed = (frame: number): Material => {
		const { insulation } = MATERIAL.classes;
		const colours = insulation.colours.map(({ centre, ...colour }) => ({
			...colour,
			centre: { ...centre, L: centre.L + 0.01 * frame },
		}));
		return { ...MATERIAL, classes: { ...MATERIAL.classes, insulation: { ...insulation, colours } } };
	};
	const frames = [];
	const still = [];
	for (let frame = 0; frame < 40; frame++) {
		const material = changed(frame);
		frames.push(await timed(async () => edgePicture(view.quickLabels(material), width, height)));
		still.push(await timed(async () => quickOutlines(view.relabel(material), 1, 1)));
	}
	const frameMs = median(frames.slice(10).map(({ processorMs }) => processorMs));
	return {
		what: 'preview',
		megapixels: 1,
		frameMs: rounded(frameMs),
		stillMs: rounded(median(still.slice(10).map(({ processorMs }) => processorMs))),
		framesPerSecondFourTimesSlower: rounded(1000 / (4 * frameMs)),
	};
}

/** To three digits. */
export function rounded(value: number): number {
	return Number(value.toPrecision(3));
}
