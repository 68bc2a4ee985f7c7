import 'server-only';
import { randomInt } from 'node:crypto';
import { NOT_LOOKED_FOR } from '../conformity/notLookedFor';
import { TrayError } from '../errors/TrayError';
import { checkSchema } from '../grade/checkEntry';
import { lockedIsChecked } from '../grade/lockedCopper';
import { withStrippedCopper } from '../grade/strippedCopper';
import { GRADED, type Graded } from '../material/classes';
import { LatestAsked } from '../quantity/latestAsked';
import { perName } from '../quantity/perName';
import type { Estimate } from '../quantity/quantity';
import { DEFAULT_DRAWS, DEFAULT_SEED } from '../quantity/seededRandom';
import { canonicalJson } from '../report/canonicalJson';
import { agreementWithPhotos } from '../report/checkSentences';
import { checkText } from '../report/checkText';
import type { CleanlinessRecord, RecordPicture } from '../report/recordSchema';
import { amountsSeen } from '../report/recordSeen';
import type { AnalysisPool } from './analysisPool';
import type { Store } from './database';
import { drawBoard } from './drawnRun';
import { ENGINE_VERSION } from './engineVersion';
import { getMaterial } from './materials';
import { perDatabase } from './perDatabase';
import { drawRecordPictures, type PicturedPhoto } from './recordPictures';
import { type AskedStandings, standingsOf } from './recordStandings';
import { correctionsOf, warningsOf } from './recordWarnings';
import { keyOfRead } from './runOrigin';
import { labelsOf } from './runProducts';
import { getMatPrints, type MatPrints } from './settings';
import { sha256Of } from './sha256Of';
import { orderOf, type ProductOnBoard, type RunBoard, workOutBoard } from './workedRun';

/** What a person says when making a record. */
export interface RecordEntry extends AskedStandings {
	readonly issuer: CleanlinessRecord['issuer'];
	readonly sampling: CleanlinessRecord['sampling'];
}

/** Pictures of so many spreads go on a record; all photos are listed by their checksum. */
const PICTURED_SPREADS = 3;

/**
 * Put together the record of one product as its run stands now.
 *
 * @param issuedAt - ISO time
 * @throws TrayError `nothing-spread` when no photo of the product is graded, or some are still being read
 */
export async function makeRecord(
	store: Store,
	pool: AnalysisPool,
	board: RunBoard,
	product: ProductOnBoard,
	entry: RecordEntry,
	issuedAt: string,
): Promise<CleanlinessRecord> {
	const photos = gradedPhotosOf(product);
	const label = labelsOf(board.products).get(product.id) ?? '';
	const [worked, drawn] = await Promise.all([workOutBoard(store, pool, board), drawBoard(store, pool, board)]);
	const account = drawn.account.products.find(({ id }) => id === label);
	const draws = drawn.productDraws[label];
	const toldFrom = drawn.toldFrom[label];
	const leastParts = drawn.draws.products[label]?.leastParts;
	if (account === undefined || draws === undefined) return notGraded();
	const composition = compositionOf(account.massFraction.measured);
	const material = await getMaterial(store, board.run.material);
	const readings = spreadsOf(photos);
	const isSeenTwice = photos.some(({ analysis }) => analysis.warnings.some(({ code }) => code === 'same-picture'));
	const matCheckedOn = matCheckOf(await getMatPrints(store), photos);
	const narrowingOfCopper = async () => {
		const narrowing = await pool.narrowCopper(await orderOf(store, board), label);
		return narrowing && { spreads: readings.length, ...narrowing };
	};
	const checks = product.checks.map(({ entry: check, spreadId }) =>
		checkText(check, product.spreads.find(({ id }) => id === spreadId)?.number),
	);
	const alike = board.products.filter(({ role }) => role === product.role);
	const strips = alike.flatMap((one) => one.checks.map(({ entry: check }) => checkSchema.parse(check)));
	const checked = worked.checked[label];
	const weighed = account.dryMassKg.measured;
	return {
		deckside: 'record/1',
		number: numberOf(issuedAt),
		issuedAt,
		issuer: entry.issuer,
		demo: board.run.demo,
		product: { name: product.name, role: product.role },
		lot: { name: board.run.lotName },
		run: { name: board.run.name, date: board.run.runDate },
		...(weighed === undefined ? {} : { dryMassKg: weighed }),
		sampling: entry.sampling,
		composition,
		rule: entry.rule,
		standings: await standingsOf(
			entry,
			{ composition, draws, toldFrom, leastParts, readings, material, isSeenTwice },
			narrowingOfCopper,
		),
		seen: amountsSeen(readings, material),
		checks,
		...(checked === undefined ? {} : { agreement: agreementWithPhotos(checked) }),
		corrections: await correctionsOf(store, product, board.run.material),
		warnings: warningsOf(board, product, worked),
		notLookedFor: [...NOT_LOOKED_FOR],
		method: {
			material: material.name,
			readBy: [...new Set(photos.map(({ analysis }) => analysis.method))].sort(),
			surfaces: [...new Set(photos.map(({ analysis }) => analysis.surface))].sort(),
			isLockedCopperChecked: lockedIsChecked(withStrippedCopper(material, strips)),
			...(matCheckedOn === undefined ? {} : { matCheckedOn }),
			engine: ENGINE_VERSION,
			seed: DEFAULT_SEED,
			draws: DEFAULT_DRAWS,
		},
		photos: photos.map(({ spread, sha256, sizeBytes }) => ({ spread, sha256, sizeBytes })),
		pictures: await picturesOf(store, photos),
	};
}

/**
 * The day from which on all sizes of the mat that the photos show had been checked; undefined where one never was. Readings of earlier versions
 * don't say their size: for them any check stands in, as it did then.
 */
function matCheckOf(prints: MatPrints, photos: readonly GradedPhoto[]): string | undefined {
	const any = Object.values(prints)
		.map(({ measuredOn }) => measuredOn)
		.toSorted()
		.at(-1);
	const days = photos
		.filter(({ analysis }) => analysis.surface === 'mat')
		.map(({ analysis: { matSize } }) => (matSize === undefined ? any : prints[matSize]?.measuredOn));
	return days.includes(undefined)
		? undefined
		: days
				.filter((day) => day !== undefined)
				.toSorted()
				.at(-1);
}

/** Checksums held in memory, at most, of one database: to put all readings of a run in canonical form takes a tenth of a second. */
const MOST_BASES = 500;

/** By what stands for all that they are of. */
const basesOf = perDatabase(() => new LatestAsked<string>(MOST_BASES));

/** Checksum of everything a record of this product rests on: another one means that the run has changed since. */
export async function basisOf(store: Store, board: RunBoard, product: ProductOnBoard): Promise<string> {
	const { run } = board;
	const facts = [run.name, run.runDate, run.lotName, product.name, product.role, product.spreads.map(photoFacts)];
	const held = basesOf(store);
	const key = await keyOfRead(store, ['basis', facts], board);
	const basis = held.get(key) ?? sha256Of(canonicalJson([await orderOf(store, board), facts]));
	held.hold(key, basis);
	return basis;
}

function photoFacts({ photos }: ProductOnBoard['spreads'][number]) {
	return photos.map(({ sha256, state }) => [sha256, state.kind === 'graded' ? state.analysisKey : state.kind]);
}

type GradedPhoto = PicturedPhoto & { readonly sizeBytes: number };

function gradedPhotosOf({ spreads }: ProductOnBoard): readonly GradedPhoto[] {
	const all = spreads.flatMap(({ photos }) => photos);
	const waiting = all.filter(({ state }) => state.kind === 'queued' || state.kind === 'reading').length;
	if (waiting > 0) {
		const photos = waiting === 1 ? 'One photo is' : `${waiting} photos are`;
		throw new TrayError('nothing-spread', `${photos} still being read.`, 'Make the record once all are read.');
	}
	const graded = spreads.flatMap(({ number, photos }) =>
		photos.flatMap(({ sha256, sizeBytes, state, analysis }) =>
			state.kind === 'graded' && analysis !== undefined
				? [{ spread: number, sha256, sizeBytes, analysisKey: state.analysisKey, analysis }]
				: [],
		),
	);
	return graded.length === 0 ? notGraded() : graded;
}

function notGraded(): never {
	throw new TrayError(
		'nothing-spread',
		'This product has no graded photo, so there is nothing to put on record.',
		'Photograph at least one spread of it.',
	);
}

function spreadsOf(photos: readonly GradedPhoto[]) {
	const spreads = [...new Set(photos.map(({ spread }) => spread))];
	return spreads.map((spread) =>
		photos.filter((photo) => photo.spread === spread).map(({ analysis }) => analysis.reading),
	);
}

function compositionOf(measured: Readonly<Partial<Record<Graded, Estimate>>>): Record<Graded, Estimate> {
	return perName(GRADED, (name) => measured[name] ?? notGraded());
}

/** The first photo of the first spreads; the first of all also enlarged. */
async function picturesOf(store: Store, photos: readonly GradedPhoto[]): Promise<RecordPicture[]> {
	const first = photos.filter((photo, i) => photos.findIndex(({ spread }) => spread === photo.spread) === i);
	const pictures: RecordPicture[] = [];
	// one after the other: a decoded photo is large
	for (const [place, photo] of first.slice(0, PICTURED_SPREADS).entries()) {
		pictures.push(...(await drawRecordPictures(store, photo, place === 0)));
	}
	return pictures;
}

const NUMBER_DIGITS = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';

/** Day of issue and five random digits: two installations hardly ever give out the same. */
function numberOf(issuedAt: string): string {
	const digits = Array.from({ length: 5 }, () => NUMBER_DIGITS.charAt(randomInt(NUMBER_DIGITS.length)));
	return `${issuedAt.slice(0, 10).replaceAll('-', '')}-${digits.join('')}`;
}
