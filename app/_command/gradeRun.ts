import { type ExplainedRun, explainRun } from '@/lib/balance/explainRun';
import { type GradedRun, type WorkedOutRun, workOutRun } from '@/lib/balance/gradedRun';
import type { ProductAccount, RunAccount } from '@/lib/balance/runAccount';
import { checksOfKept } from '@/lib/grade/checkEntry';
import type { GradeTables } from '@/lib/grade/gradeProduct';
import type { Lesson } from '@/lib/grade/lesson';
import type { Estimate } from '@/lib/quantity/quantity';
import { DEFAULT_DRAWS, DEFAULT_SEED } from '@/lib/quantity/seededRandom';
import { carryOverWarning, withCarryOver } from '@/lib/report/carryOver';
import type { RunFile } from '@/lib/report/runFile';
import { checkWarnings, demoWarnings } from '@/lib/report/runWarnings';
import {
	type Engine,
	type Failure,
	type GradedPhoto,
	gradedPhoto,
	pictureWarnings,
	type ReadPhoto,
	readPhotos,
} from './gradePhotos';
import { besideFile } from './readJsonFile';

type Product = RunFile['products'][number];

/** One bin's line of the result: the photos' own figures, then what the balance makes of them. */
export interface GradedBin extends Omit<ProductAccount, 'dryMassKg' | 'massFraction'> {
	readonly photos: readonly GradedPhoto[];
	/** All its photos together; missing where none could be graded. */
	readonly combined?: GradeTables;
	/** Its copper by every check there is, side by side and together; missing without a check. */
	readonly checked?: WorkedOutRun['checked'][string];
	/** Copper locked in insulation, part of `copper`; missing without photos. */
	readonly lockedCopper?: Estimate;
	/** Said where the run was the first after a change: what was left from before may be in it. */
	readonly carryOver?: string;
	/** As weighed, moisture taken off. */
	readonly dryMassKg?: ProductAccount['dryMassKg']['measured'];
	readonly reconciled: {
		readonly dryMassKg?: ProductAccount['dryMassKg']['reconciled'];
		readonly massFraction: ProductAccount['massFraction']['reconciled'];
	};
}

export interface RunResult extends Omit<RunAccount, 'products'> {
	readonly name: string;
	readonly material: string;
	readonly products: readonly GradedBin[];
	/** What hand sorts say about the material; missing without any. */
	readonly sorting?: WorkedOutRun['sorting'];
	/** What ranges are made of; with --explain. */
	readonly explained?: ExplainedRun;
}

/**
 * Grade and balance a whole run from its file.
 *
 * @param path - where the run file lies; its photo paths are relative to it
 * @param explain - also say what each range is made of and what would narrow it (takes about ten times as long)
 * @throws TrayError when a weighing cannot be
 */
export async function gradeRun(
	file: RunFile,
	path: string,
	engine: Engine,
	explain = false,
): Promise<{
	readonly result: RunResult;
	readonly failures: readonly Failure[];
	/** The account with its draws, for sums that go on from here. */
	readonly worked: WorkedOutRun;
}> {
	const failures: Failure[] = [];
	const bins = [];
	const places: Parameters<typeof pictureWarnings>[0][number][] = [];
	const requests = file.products.map((product) => spreadsOf(product).map((spread) => besideFile(path, spread)));
	engine.readers.begin(requests.flat(2));
	for (const [p, product] of file.products.entries()) {
		const photos: ReadPhoto[] = [];
		const spreads = [];
		const kept: number[] = [];
		for (const [place, spread] of (requests[p] ?? []).entries()) {
			const { read, failures: failed } = await readPhotos(spread, engine);
			failures.push(...failed);
			photos.push(...read);
			places.push(...read.map((photo) => ({ photo, bin: product.name, spread: place + 1 })));
			if (read.length === 0) continue;
			spreads.push(read.map(({ reading }) => reading.reading));
			kept.push(place);
		}
		bins.push({ product, photos, spreads, checks: checksOfKept(product.checks ?? [], kept) });
	}
	const twice = pictureWarnings(places);
	const lessons: Lesson[] = [];
	for (const { label, role, photo, check } of file.lessons ?? []) {
		const told = { label, check, ...(role === undefined ? {} : { role }) };
		if (photo === undefined) {
			lessons.push(told);
			continue;
		}
		const { read, failures: failed } = await readPhotos(besideFile(path, [photo]), engine);
		failures.push(...failed);
		const reading = read[0]?.reading.reading;
		if (reading !== undefined) lessons.push({ ...told, reading });
	}
	const run: GradedRun = {
		runId: file.name,
		lessons,
		...(file.feed === undefined ? {} : { feed: withoutMissing(file.feed) }),
		...(file.loss === undefined ? {} : { loss: file.loss }),
		...(file.scales === undefined ? {} : { scales: file.scales }),
		products: bins.map(({ product, spreads, checks }) => ({
			id: product.name,
			name: product.name,
			role: product.role,
			...(product.weighing === undefined ? {} : { weighing: product.weighing }),
			spreads,
			checks,
		})),
	};
	const worked = workOutRun(run, engine.material, engine.errorRates, { draws: DEFAULT_DRAWS, seed: DEFAULT_SEED });
	const { products: _, ...account } = withCarryOver(worked.account, file.settings);
	const carryOver = carryOverWarning(file.settings)?.message;
	return {
		result: {
			...account,
			warnings: [...demoWarnings(file.demo), ...account.warnings, ...checkWarnings(worked)],
			name: file.name,
			material: engine.material.name,
			products: bins.map(({ product, photos }) => ({
				...binOf(
					product,
					photos.map((photo) => gradedPhoto(photo, engine, twice)),
					worked,
				),
				...(carryOver === undefined ? {} : { carryOver }),
			})),
			...(worked.sorting.piles.length + worked.sorting.idle.length + worked.sorting.partial.length === 0
				? {}
				: { sorting: worked.sorting }),
			...(explain ? { explained: explainRun(run, engine.material, engine.errorRates, worked) } : {}),
		},
		failures,
		worked,
	};
}

/** Photos that count, one list a spread; a spread whose photos all were set aside keeps its place. */
function spreadsOf(product: Product) {
	const spreads = product.spreads?.map(({ photos }) => photos) ?? product.photos?.map((photo) => [photo]) ?? [];
	return spreads.map((photos) => photos.filter(({ setAside }) => setAside !== true));
}

/** A feed as the balance takes it: what is not known is absent. */
function withoutMissing({ weighing, grade }: NonNullable<RunFile['feed']>) {
	const known = Object.fromEntries(Object.entries(grade ?? {}).filter(([, share]) => share !== undefined));
	return {
		...(weighing === undefined ? {} : { weighing }),
		...(grade === undefined ? {} : { grade: known }),
	};
}

function binOf(
	product: Product,
	photos: readonly GradedPhoto[],
	{ account, grades, checked, lockedCopper }: WorkedOutRun,
): GradedBin {
	const found = account.products.find(({ id }) => id === product.name);
	if (found === undefined) throw new RangeError(`the account has no product ${product.name}`);
	const { dryMassKg, massFraction, ...rest } = found;
	const combined = grades[product.name];
	return {
		...rest,
		photos,
		...(combined === undefined ? {} : { combined }),
		...(lockedCopper[product.name] === undefined ? {} : { lockedCopper: lockedCopper[product.name]! }),
		...(checked[product.name] === undefined ? {} : { checked: checked[product.name]! }),
		...(dryMassKg.measured === undefined ? {} : { dryMassKg: dryMassKg.measured }),
		reconciled: {
			...(dryMassKg.reconciled === undefined ? {} : { dryMassKg: dryMassKg.reconciled }),
			massFraction: massFraction.reconciled,
		},
	};
}
