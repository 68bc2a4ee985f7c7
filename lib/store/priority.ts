import { existsSync, readdirSync } from 'node:fs';
import { getPriority, setPriority } from 'node:os';
import { z } from 'zod';

/**
 * A third of the processor time that a page gets where both want it: pages come first, and photos never stand still. Figures get half: a page
 * waits for none, but hears of them.
 *
 * @source Linux, kernel/sched/core.c: a thread counts 1.25 times less with each step
 */
export const NICE = { photos: 5, figures: 3 } as const;

/** @source Linux manual, setpriority(2): -20 to 19 */
const LEAST_URGENT = 19;

/**
 * What is done behind pages yields to whoever waits for one. On Linux a thread has a priority of its own, the main thread's under the process's number; elsewhere
 * it would be the whole server's.
 *
 * @param thread - its number; left out, the thread that calls. One that has ended needs nothing
 */
export function yieldToPages(nice: number, thread = 0): void {
	if (process.platform !== 'linux') return;
	try {
		setPriority(thread, Math.min(LEAST_URGENT, getPriority(process.pid) + nice));
	} catch (fault) {
		if (!(fault instanceof Error && 'info' in fault && NO_SUCH_THREAD.safeParse(fault.info).success)) throw fault;
	}
}

/** As Node.js tells of what the system refused. */
const NO_SUCH_THREAD = z.object({ code: z.literal('ESRCH') });

/** Threads that compile and collect for all others, and one that wakes them. @source Node.js documentation, `--v8-pool-size`: 4 by default */
const ENGINE_THREADS = 5;
/** Linux names a program's threads here by their numbers. */
const THREADS = '/proc/self/task';

/**
 * The engine's own threads, which photos keep nearly half as busy as their readers, yield like these. They are the first that a program begins:
 * where numbers of threads start anew in between, others yield instead.
 */
export function letEngineYield(): void {
	if (!existsSync(THREADS)) return;
	const others = readdirSync(THREADS)
		.map(Number)
		.filter((thread) => thread !== process.pid)
		.sort((a, b) => a - b);
	for (const thread of others.slice(0, ENGINE_THREADS)) yieldToPages(NICE.photos, thread);
}
