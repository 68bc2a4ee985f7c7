import sharp from 'sharp';
import type { ToldFigures } from '../balance/budget';
import { copperNarrowingOf, type ExplainedRun, explainRun as explain } from '../balance/explainRun';
import { workOutRun as balance, type GradedRun } from '../balance/gradedRun';
import { weighingSchema } from '../balance/weighing';
import { TrayError } from '../errors/TrayError';
import { checkSchema } from '../grade/checkEntry';
import { gradePhoto } from '../grade/gradePhoto';
import { measuredErrorRates } from '../grade/measuredErrorRates';
import { readPhoto } from '../grade/readPhoto';
import { decodePhoto } from '../photo/decode';
import { surfaceAt } from '../photo/surfaceAt';
import { DEFAULT_DRAWS, DEFAULT_SEED } from '../quantity/seededRandom';
import { type PiecePicture, piecePicture } from '../report/piecePicture';
import { fieldBoxOf } from '../segmentation/fieldBox';
import { openPixelModel } from '../segmentation/modelFiles';
import type { NetworkPartner } from '../segmentation/networkPartner';
import type { PixelModel } from '../segmentation/pixelModel';
import { threadPartner } from '../segmentation/threadPartner';
import type {
	AccountOrder,
	AnalysedPhoto,
	AnalysisOptions,
	CopperNarrowing,
	DrawnRun,
	OutlineOrder,
	WorkedRun,
} from './analysis';
import type { ReadingChoice } from './entries';

/**
 * Read one photo from its bytes to its figures.
 *
 * @throws TrayError with a sentence for the person who took it
 */
export async function analysePhoto(bytes: Uint8Array, options: AnalysisOptions): Promise<AnalysedPhoto> {
	const { choice, material, matScale } = options;
	const { raster } = await decodePhoto(bytes);
	const model = await modelFor(choice.method);
	const request = { ...surfaceRequest(choice), printedScale: matScale, method: choice.method };
	const read = await readPhoto(raster, request, material, model);
	const { surface, reading } = read;
	const tables = gradePhoto(reading, material, measuredErrorRates);
	return {
		classMap: read.classMap,
		analysis: {
			...tables,
			surface: surface.kind,
			...(read.matSize === undefined ? {} : { matSize: read.matSize }),
			method: reading.method,
			widthPx: read.widthPx,
			heightPx: read.heightPx,
			pxPerMm: surface.pxPerMm,
			cornersPx: surface.cornersPx.flatMap(({ x, y }) => [x, y]),
			fieldWidthMm: surface.fieldWidthMm,
			fieldHeightMm: surface.fieldHeightMm,
			light: read.light,
			warnings: read.warnings,
			reading,
		},
	};
}

/** Outline the pieces on a kept class map and say what each may weigh. */
export async function outlinePieces({ classMapPng, analysis, material }: OutlineOrder): Promise<PiecePicture> {
	const { widthPx, heightPx, cornersPx, fieldWidthMm, fieldHeightMm } = analysis;
	const surface = surfaceAt({ surface: 'tray', cornersPx, fieldWidthMm, fieldHeightMm });
	const { width, height, columnOffset, rowOffset } = fieldBoxOf({ width: widthPx, height: heightPx }, surface);
	const labels = await sharp(classMapPng)
		.extract({ left: columnOffset, top: rowOffset, width, height })
		.extractChannel(0)
		.raw()
		.toBuffer();
	return piecePicture({ width, height, columnOffset, rowOffset, labels }, surface, material, { widthPx, heightPx });
}

/** A second thread for the model, known before it is opened. */
let partner: NetworkPartner | undefined;

/** Let a second thread take part in reading while `spare` is above 0. */
export function takePartner(spare: Int32Array<SharedArrayBuffer>): void {
	partner ??= threadPartner(spare);
}

/** Opened once a worker, and only when a photo asks for it. */
let opened: ReturnType<typeof openPixelModel> | undefined;

/** The trained model, where the method wants one and it is installed. */
export async function modelFor(method: ReadingChoice['method']): Promise<PixelModel | undefined> {
	if (method === 'threshold') return undefined;
	opened ??= openPixelModel(undefined, partner);
	const { model, reason } = await opened;
	if (model !== undefined || method === 'auto') return model;
	throw new TrayError(
		'file-unreadable',
		`The trained model cannot be used: ${reason ?? 'it is not installed'}.`,
		'Choose another method for this photo.',
	);
}

/** The choice as the photo reader takes it. */
export function surfaceRequest({ surface, corners, fieldWidthMm, fieldHeightMm }: ReadingChoice) {
	return {
		surface,
		corners: corners && [0, 2, 4, 6].map((at) => ({ x: corners[at] ?? Number.NaN, y: corners[at + 1] ?? Number.NaN })),
		fieldMm:
			fieldWidthMm === undefined || fieldHeightMm === undefined
				? undefined
				: { widthMm: fieldWidthMm, heightMm: fieldHeightMm },
	};
}

/** Work out a run: product grades, weights and the reconciled balance. */
export async function workOutRun(order: AccountOrder): Promise<WorkedRun> {
	const { account, grades, checked, lockedCopper, sorting } = balanced(order);
	return { account, grades, checked, lockedCopper, sorting };
}

/** The same with its draws, for sums that go on from there. */
export async function drawRun(order: AccountOrder): Promise<DrawnRun> {
	const { account, draws, productDraws, toldFrom } = balanced(order);
	return { account, draws, productDraws, toldFrom };
}

/** What every range of the run is made of, and what would narrow it; `told` is the same order worked out. */
export async function explainRun(order: AccountOrder, told: ToldFigures): Promise<ExplainedRun> {
	return explain(gradedRunOf(order), order.material, measuredErrorRates, told);
}

/** How the copper grade of one product, by its label, would narrow with more spreads. */
export async function narrowCopper(order: AccountOrder, label: string): Promise<CopperNarrowing> {
	return copperNarrowingOf(gradedRunOf(order), label, order.material, measuredErrorRates);
}

/** A run worked out with all its draws. */
export function balanced(order: AccountOrder) {
	return balance(gradedRunOf(order), order.material, measuredErrorRates, { draws: DEFAULT_DRAWS, seed: DEFAULT_SEED });
}

function gradedRunOf({ runName, feed, products, lessons }: AccountOrder): GradedRun {
	const grade = Object.fromEntries(Object.entries(feed.grade ?? {}).filter(([, share]) => share !== undefined));
	return {
		runId: runName,
		lessons: lessons.map(({ check, ...lesson }) => ({ ...lesson, check: checkSchema.parse(check) })),
		feed: {
			...(feed.weighing === undefined ? {} : { weighing: weighingSchema.parse(feed.weighing) }),
			...(feed.grade === undefined ? {} : { grade }),
		},
		...(feed.loss === undefined ? {} : { loss: { weighing: weighingSchema.parse(feed.loss) } }),
		...(feed.scales === undefined ? {} : { scales: feed.scales }),
		products: products.map(({ label, name, role, weighing, spreads, checks }) => ({
			id: label,
			name,
			role,
			...(weighing === null ? {} : { weighing: weighingSchema.parse(weighing) }),
			spreads,
			checks: checks.map((check) => checkSchema.parse(check)),
		})),
	};
}
