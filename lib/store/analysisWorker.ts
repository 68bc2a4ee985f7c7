import { getPriority, setPriority } from 'node:os';
import { parentPort } from 'node:worker_threads';
import { TrayError } from '../errors/TrayError';
import type { Job, JobMessage, JobReply } from './analysisPool';
import {
  analysePhoto,
  drawRun,
  explainRun,
  narrowCopper,
  outlinePieces,
  takePartner,
  valueRun,
  workOutRun,
} from './engine';
import { locateField, refitModel, studySpots } from './teachingEngine';

/** A third of the processor time that a page gets where both want it: pages come first, and photos never stand still. */
const NICE = 5;

/**
 * Photos yield to whoever waits for a page. On Linux a thread has a priority of its own, the main thread's under the process's number; elsewhere
 * it would be the whole server's.
 */
function yieldToPages(): void {
  if (process.platform === 'linux') setPriority(Math.min(LEAST_URGENT, getPriority(process.pid) + NICE));
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
    if (job.kind === 'photo') {
      yieldToPages();
      return { ok: true, value: await analysePhoto(job.bytes, job.options) };
    }
    if (job.kind === 'locate') return { ok: true, value: await locateField(job.order) };
    if (job.kind === 'study') return { ok: true, value: await studySpots(job.order, job.spots) };
    if (job.kind === 'refit') return { ok: true, value: await refitModel(job.spots) };
    if (job.kind === 'outline') return { ok: true, value: await outlinePieces(job.order) };
    if (job.kind === 'explain') return { ok: true, value: await explainRun(job.order, job.told) };
    if (job.kind === 'value') return { ok: true, value: await valueRun(job.order, job.sheet) };
    if (job.kind === 'narrow') return { ok: true, value: await narrowCopper(job.order, job.label) };
    return { ok: true, value: await (job.kind === 'run' ? workOutRun(job.order) : drawRun(job.order)) };
  } catch (error) {
    if (error instanceof TrayError) {
      return { ok: false, code: error.code, message: error.message, hint: error.hint };
    }
    const cause = error instanceof Error ? (error.stack ?? error.message) : String(error);
    return { ok: false, code: 'storage', message: 'The program stumbled over this job.', hint: 'Try again.', cause };
  }
}
