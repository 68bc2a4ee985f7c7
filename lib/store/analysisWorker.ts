import { getPriority, setPriority } from 'node:os';
import { parentPort } from 'node:worker_threads';
import { TrayError } from '../errors/TrayError';
import type { Job, JobMessage, JobReply, JobValue } from './analysisPool';
import { analysePhoto, drawRun, explainRun, narrowCopper, outlinePieces, takePartner, workOutRun } from './engine';
import { compareRuns, flowsOf, printRecord, valueRun } from './sumsEngine';
import { locateField, refitModel, studySpots } from './teachingEngine';

/**
 * A third of the processor time that a page gets where both want it: pages come first, and photos never stand still. Figures get half: a page
 * waits for none, but hears of them.
 *
 * @source Linux, kernel/sched/core.c: a thread counts 1.25 times less with each step
 */
const NICE = { photos: 5, figures: 3 } as const;

/**
 * What is done behind pages yields to whoever waits for one. On Linux a thread has a priority of its own, the main thread's under the process's number; elsewhere
 * it would be the whole server's.
 */
function yieldToPages(nice: number): void {
	if (process.platform === 'linux') setPriority(Math.min(LEAST_URGENT, getPriority(process.pid) + nice));
}

/** @source Linux manual, setpriority(2): -20 to 19 */
const LEAST_URGENT = 19;

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

function done(job: Job): Promise<JobValue> {
	switch (job.kind) {
		case 'photo':
		case 'practice':
			yieldToPages(NICE.photos);
			return analysePhoto(job.bytes, job.options);
		case 'run':
			yieldToPages(NICE.figures);
			return workOutRun(job.order);
		case 'value':
			return valueRun(job.order, job.sheet);
		case 'flows':
			return flowsOf(job.order);
		case 'compare':
			return compareRuns(job.runs, job.sheet);
		case 'draws':
			return drawRun(job.order);
		case 'narrow':
			return narrowCopper(job.order, job.label);
		case 'explain':
			return explainRun(job.order, job.told);
		case 'print':
			return printRecord(job.print);
		case 'outline':
			return outlinePieces(job.order);
		case 'locate':
			return locateField(job.order);
		case 'study':
			return studySpots(job.order, job.spots);
		case 'refit':
			return refitModel(job.spots);
	}
}
