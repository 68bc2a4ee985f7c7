import 'server-only';
import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import type { ExplainedRun } from '../balance/explainRun';
import { TrayError, type TrayErrorCode } from '../errors/TrayError';
import type { AccountOrder, AnalysedPhoto, AnalysisOptions, DrawnRun, WorkedRun } from './analysis';

/** What a worker can be asked. */
export type Job =
  | { readonly kind: 'photo'; readonly bytes: Uint8Array; readonly options: AnalysisOptions }
  | { readonly kind: 'run' | 'draws' | 'explain'; readonly order: AccountOrder };

/** What it answers; errors cross as plain words. */
export type JobReply =
  | { readonly ok: true; readonly value: AnalysedPhoto | WorkedRun | DrawnRun | ExplainedRun }
  | {
      readonly ok: false;
      readonly code: TrayErrorCode;
      readonly message: string;
      readonly hint: string;
      readonly cause?: string;
    };

/** Work off the main thread: pages answer while photos are read. */
export interface AnalysisPool {
  readonly size: number;
  analysePhoto(bytes: Uint8Array, options: AnalysisOptions): Promise<AnalysedPhoto>;
  workOutRun(order: AccountOrder): Promise<WorkedRun>;
  drawRun(order: AccountOrder): Promise<DrawnRun>;
  explainRun(order: AccountOrder): Promise<ExplainedRun>;
  close(): Promise<void>;
}

interface Waiting {
  readonly job: Job;
  readonly done: (reply: JobReply) => void;
}

/**
 * Start a pool of worker threads. A run jumps the queue: a person is waiting for its page.
 *
 * A worker that dies takes only its own job with it and is replaced.
 */
export function startAnalysisPool(size = Math.min(2, availableParallelism())): AnalysisPool {
  const waiting: Waiting[] = [];
  const seats: { worker: Worker | undefined; busy: Waiting | undefined }[] = [];
  for (let i = 0; i < size; i++) seats.push({ worker: undefined, busy: undefined });

  function next(): void {
    const seat = seats.find(({ busy }) => busy === undefined);
    const chosen = waiting.findIndex(({ job }) => job.kind !== 'photo');
    const [order] = seat === undefined ? [] : waiting.splice(Math.max(0, chosen), 1);
    if (seat === undefined || order === undefined) return;
    seat.busy = order;
    seat.worker ??= hire(seat);
    seat.worker.ref();
    seat.worker.postMessage({ job: order.job });
    next();
  }

  function hire(seat: { worker: Worker | undefined; busy: Waiting | undefined }): Worker {
    const worker = new Worker(new URL('./analysisWorker.ts', import.meta.url));
    const settle = (reply: JobReply) => {
      const order = seat.busy;
      seat.busy = undefined;
      order?.done(reply);
      next();
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

  const ask = (job: Job) =>
    new Promise<AnalysedPhoto | WorkedRun | DrawnRun | ExplainedRun>((resolve, reject) => {
      const done = (reply: JobReply) => {
        if (reply.ok) return resolve(reply.value);
        if (reply.cause !== undefined) console.error(reply.cause);
        reject(new TrayError(reply.code, reply.message, reply.hint));
      };
      waiting.push({ job, done });
      next();
    });

  return {
    size,
    // the kind of job decides the kind of value
    analysePhoto: (bytes, options) => ask({ kind: 'photo', bytes, options }) as Promise<AnalysedPhoto>,
    workOutRun: (order) => ask({ kind: 'run', order }) as Promise<WorkedRun>,
    drawRun: (order) => ask({ kind: 'draws', order }) as Promise<DrawnRun>,
    explainRun: (order) => ask({ kind: 'explain', order }) as Promise<ExplainedRun>,
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
