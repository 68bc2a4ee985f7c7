import { parentPort } from 'node:worker_threads';
import { TrayError } from '../errors/TrayError';
import { analysePhoto, drawRun, explainRun, narrowCopper, outlinePieces, takePartner, workOutRun } from './engine';
import type { Job, JobKind, JobMessage, JobReply, Jobs } from './poolJobs';
import { NICE, yieldToPages } from './priority';
import { compareRuns, flowsOf, printRecord, valueRun } from './sumsEngine';
import { locateField, refitModel, studySpots } from './teachingEngine';

/** Worker thread: one job at a time, in by message, out by message. */
parentPort?.on('message', async ({ job, spare }: JobMessage) => {
	takePartner(spare);
	const reply: JobReply = await answer(job);
	parentPort?.postMessage({ reply });
});

async function answer(job: Job): Promise<JobReply> {
	try {
		return { ok: true, value: await done(job) };
	} catch (error) {
		if (error instanceof TrayError) {
			return { ok: false, code: error.code, message: error.message, hint: error.hint };
		}
		const cause = error instanceof Error ? (error.stack ?? error.message) : String(error);
		return { ok: false, code: 'storage', message: 'The program stumbled over this job.', hint: 'Try again.', cause };
	}
}

function done<Kind extends JobKind>({ kind, given }: Job<Kind>): Promise<Jobs[Kind]['value']> {
	return WORK[kind](given);
}

function readPhoto({ bytes, options }: Jobs['photo']['given']) {
	yieldToPages(NICE.photos);
	return analysePhoto(bytes, options);
}

const WORK: { readonly [Kind in JobKind]: (given: Jobs[Kind]['given']) => Promise<Jobs[Kind]['value']> } = {
	photo: readPhoto,
	practice: readPhoto,
	run: ({ order }) => {
		yieldToPages(NICE.figures);
		return workOutRun(order);
	},
	value: ({ order, sheet }) => valueRun(order, sheet),
	flows: ({ order }) => flowsOf(order),
	compare: ({ runs, sheet }) => compareRuns(runs, sheet),
	draws: ({ order }) => drawRun(order),
	narrow: ({ order, label }) => narrowCopper(order, label),
	explain: ({ order, told }) => explainRun(order, told),
	print: ({ print }) => printRecord(print),
	outline: ({ order }) => outlinePieces(order),
	locate: ({ order }) => locateField(order),
	study: ({ order, spots }) => studySpots(order, spots),
	refit: ({ spots }) => refitModel(spots),
};
