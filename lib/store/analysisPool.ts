import 'server-only';
import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import type { ToldFigures } from '../balance/budget';
import type { ExplainedRun } from '../balance/explainRun';
import { TrayError } from '../errors/TrayError';
import type { Material } from '../material/material';
import type { TaughtSpot } from '../material/taughtSpot';
import type { PiecePicture } from '../report/piecePicture';
import type { PriceSheet } from '../value/priceSheet';
import type { RunValue } from '../value/runValue';
import type {
	AccountOrder,
	AnalysedPhoto,
	AnalysisOptions,
	ComparedRuns,
	CopperNarrowing,
	DrawnRun,
	FieldOnPhoto,
	OutlineOrder,
	PhotoOrder,
	RecordPrint,
	RunFlows,
	RunToCompare,
	WorkedRun,
} from './analysis';
import type { Job, JobKind, JobMessage, JobReply, Jobs } from './poolJobs';

/** Work off the main thread: pages answer while photos are read. */
export interface AnalysisPool {
	/** How many photos are read at a time. */
	readonly size: number;
	/** @param stop - leaves off: a waiting job is dropped, one under way ends with its worker; it is then refused */
	analysePhoto(bytes: Uint8Array, options: AnalysisOptions, stop?: AbortSignal): Promise<AnalysedPhoto>;
	/**
	 * Have photos read for practice while nobody waits for one, so that the first real one is read as fast as later ones: code is compiled by
	 * what it does, in every thread anew. Photos go before; once one has come, no practice is begun.
	 *
	 * @param times - for each thread
	 */
	practise(bytes: Uint8Array, options: AnalysisOptions, times: number): Promise<void>;
	workOutRun(order: AccountOrder): Promise<WorkedRun>;
	drawRun(order: AccountOrder): Promise<DrawnRun>;
	valueRun(order: AccountOrder, sheet: PriceSheet): Promise<RunValue>;
	flowsOf(order: AccountOrder): Promise<RunFlows>;
	compareRuns(runs: readonly RunToCompare[], sheet: PriceSheet | undefined): Promise<ComparedRuns>;
	/** @param told - the same order worked out: its figures are the ones explained */
	explainRun(order: AccountOrder, told: ToldFigures): Promise<ExplainedRun>;
	narrowCopper(order: AccountOrder, label: string): Promise<CopperNarrowing>;
	printRecord(print: RecordPrint): Promise<Uint8Array>;
	outlinePieces(order: OutlineOrder): Promise<PiecePicture>;
	locateField(order: PhotoOrder): Promise<FieldOnPhoto>;
	studySpots(order: PhotoOrder, spots: readonly TaughtSpot[]): Promise<readonly TaughtSpot[]>;
	refitModel(spots: readonly TaughtSpot[]): Promise<Material['lastLayer']>;
	close(): Promise<void>;
}

interface Waiting {
	readonly job: Job;
	readonly done: (reply: JobReply) => void;
}

interface Seat {
	/** Kinds of jobs done here, the most urgent first. */
	readonly kinds: readonly JobKind[];
	worker: Worker | undefined;
	busy: Waiting | undefined;
}

const STOPPED: JobReply = {
	ok: false,
	code: 'stopped',
	message: 'The reading was stopped.',
	hint: 'Read it when you are ready.',
};

const PHOTO_KINDS: readonly JobKind[] = ['photo', 'practice'];
const RUN_KINDS: readonly JobKind[] = [
	'run',
	'value',
	'flows',
	'compare',
	'draws',
	'narrow',
	'print',
	'explain',
	'outline',
	'locate',
	'study',
	'refit',
];

/**
 * Start a pool of worker threads: `size` for photos, and one more for runs, since a person waits for a run's page and must
 * not wait behind photos.
 *
 * A worker that dies takes only its own job with it and is replaced.
 *
 * @param startWorker - how a thread that runs analysisWorker.ts is started where the app's own build does not do it
 */
export function startAnalysisPool(
	size = Math.min(2, availableParallelism()),
	startWorker = () => new Worker(new URL('./analysisWorker.ts', import.meta.url)),
): AnalysisPool {
	const waiting: Waiting[] = [];
	// read by the threads: above 0, one that reads a photo may take a second one to help
	const spare = new Int32Array(new SharedArrayBuffer(4));
	const processors = availableParallelism();
	const seats = [...Array.from({ length: size }, () => PHOTO_KINDS), RUN_KINDS].map(
		(kinds): Seat => ({ kinds, worker: undefined, busy: undefined }),
	);

	function fill(): void {
		for (const seat of seats) {
			const order = seat.busy === undefined ? takeFor(seat) : undefined;
			if (order === undefined) continue;
			seat.busy = order;
			seat.worker ??= hire(seat);
			seat.worker.ref();
			seat.worker.postMessage({ job: order.job, spare } satisfies JobMessage);
		}
		Atomics.store(spare, 0, processors - seats.filter(({ busy }) => busy !== undefined).length);
	}

	function takeFor({ kinds }: Seat): Waiting | undefined {
		for (const kind of kinds) {
			const next = waiting.findIndex(({ job }) => job.kind === kind);
			if (next >= 0) return waiting.splice(next, 1)[0];
		}
		return undefined;
	}

	function hire(seat: Seat): Worker {
		const worker = startWorker();
		const settle = (reply: JobReply) => {
			const order = seat.busy;
			seat.busy = undefined;
			order?.done(reply);
			fill();
		};
		const lost = (cause: string) => {
			if (seat.worker !== worker) return;
			seat.worker = undefined;
			settle({ ok: false, code: 'storage', message: 'The reading stopped half-way.', hint: 'Read it again.', cause });
		};
		worker.on('message', ({ reply }: { reply: JobReply }) => {
			worker.unref();
			settle(reply);
		});
		worker.on('error', (error) => lost(String(error)));
		worker.on('exit', (code) => lost(`worker left with code ${code}`));
		return worker;
	}

	function leaveOff(order: Waiting): void {
		const place = waiting.indexOf(order);
		if (place >= 0) {
			waiting.splice(place, 1);
			order.done(STOPPED);
			return;
		}
		const seat = seats.find(({ busy }) => busy === order);
		if (seat === undefined) return;
		const { worker } = seat;
		seat.worker = undefined;
		seat.busy = undefined;
		order.done(STOPPED);
		worker?.terminate().finally(fill);
	}

	const ask = <Kind extends JobKind>(kind: Kind, given: Jobs[Kind]['given'], stop?: AbortSignal) =>
		new Promise<Jobs[Kind]['value']>((resolve, reject) => {
			const done = (reply: JobReply) => {
				if (reply.ok) return resolve(reply.value); // of the job's kind: analysisWorker.ts does each by its own
				if (reply.cause !== undefined) console.error(reply.cause);
				reject(new TrayError(reply.code, reply.message, reply.hint));
			};
			const order: Waiting = { job: { kind, given }, done };
			waiting.push(order);
			stop?.addEventListener('abort', () => leaveOff(order), { once: true });
			fill();
		});

	let isPractice = true;
	return {
		size,
		analysePhoto: (bytes, options, stop) => {
			isPractice = false;
			return ask('photo', { bytes, options }, stop);
		},
		practise: async (bytes, options, times) => {
			// one after the other for each thread: what has not begun is left off as soon as a photo comes
			const practiseAlone = async () => {
				for (let time = 0; time < times && isPractice; time++) await ask('practice', { bytes, options });
			};
			await Promise.all(Array.from({ length: size }, practiseAlone));
		},
		workOutRun: (order) => ask('run', { order }),
		drawRun: (order) => ask('draws', { order }),
		valueRun: (order, sheet) => ask('value', { order, sheet }),
		flowsOf: (order) => ask('flows', { order }),
		compareRuns: (runs, sheet) => ask('compare', { runs, sheet }),
		explainRun: (order, told) => ask('explain', { order, told }),
		narrowCopper: (order, label) => ask('narrow', { order, label }),
		printRecord: (print) => ask('print', { print }),
		outlinePieces: (order) => ask('outline', { order }),
		locateField: (order) => ask('locate', { order }),
		studySpots: (order, spots) => ask('study', { order, spots }),
		refitModel: (spots) => ask('refit', { spots }),
		close: async () => {
			await Promise.all(
				seats.map(async (seat) => {
					const { worker } = seat;
					seat.worker = undefined;
					await worker?.terminate();
				}),
			);
		},
	};
}
