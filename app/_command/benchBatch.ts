import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { Worker } from 'node:worker_threads';
import { z } from 'zod';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { startAnalysisPool } from '@/lib/store/analysisPool';
import { readingChoiceSchema } from '@/lib/store/entries';
import { READINGS } from '@/lib/store/practice';
import { photoOf } from './benchPhoto';

const PHOTOS = 40;
const thread = () => new Worker(new URL('./analysisThread.mjs', import.meta.url));

type Method = 'threshold' | 'model';
/** Threads that have read one photo before the clock starts, or that have practised as a server's do (lib/store/practice.ts). */
type Threads = 'fresh' | 'practised';

/** How long a batch took, ms: by the clock, and of all processors together. */
const tookSchema = z.object({ clock: z.number(), processor: z.number() });
type Took = z.infer<typeof tookSchema>;

/**
 * A batch of photos on two cores against one, by the clock.
 *
 * One core means a process that is held to it: one worker alone would use part of a second one too, where its code is compiled. Where nothing holds
 * processes to a core (it is Linux' `taskset` that does), one worker stands for it.
 */
export function benchBatch(method: Method, threads: Threads): object {
	const [one, two] = [inProcess('one', method, threads), inProcess('two', method, threads)];
	return {
		what: 'batch',
		method,
		threads,
		photos: PHOTOS,
		megapixels: 3,
		isHeldToOneCore: canHold(),
		oneCoreMs: Math.round(one.clock),
		twoCoresMs: Math.round(two.clock),
		timesFaster: Number((one.clock / two.clock).toPrecision(3)),
		// what two workers cost more than one where the machine has two processors free
		processorTimeRatio: Number((two.processor / one.processor).toPrecision(3)),
		// a machine that others keep busy gives less than two
		coresHad: Number((two.processor / two.clock).toPrecision(3)),
	};
}

function inProcess(cores: 'one' | 'two', method: Method, threads: Threads): Took {
	const self = fileURLToPath(new URL('./bench.ts', import.meta.url));
	const given = [...process.execArgv, self, 'batch-on', cores, method, threads];
	const [command, ...before] = cores === 'one' && canHold() ? [...HOLD, process.execPath] : [process.execPath];
	const { stdout } = spawnSync(command, [...before, ...given], {
		encoding: 'utf8',
		stdio: ['ignore', 'pipe', 'inherit'],
	});
	return tookSchema.parse(JSON.parse(stdout));
}

const HOLD = ['taskset', '-c', '0'] as const;

function canHold(): boolean {
	const [command, ...given] = HOLD;
	return spawnSync(command, [...given, 'true']).status === 0;
}

/** The batch in this process, on as many workers as cores. */
export async function batchHere(cores: 'one' | 'two', method: Method, threads: Threads): Promise<Took> {
	const bytes = await photoOf(3);
	const options = {
		choice: readingChoiceSchema.parse({ method }),
		material: BUILT_IN_MATERIALS[0],
		matScale: 1,
	};
	const workers = cores === 'one' ? 1 : 2;
	const pool = startAnalysisPool(workers, thread);
	if (threads === 'practised') await pool.practise(Uint8Array.from(bytes), options, READINGS);
	// every worker has read one before the clock starts
	await Promise.all(Array.from({ length: workers }, () => pool.analysePhoto(Uint8Array.from(bytes), options)));
	const [started, used] = [performance.now(), process.cpuUsage()];
	await Promise.all(Array.from({ length: PHOTOS }, () => pool.analysePhoto(Uint8Array.from(bytes), options)));
	const clock = performance.now() - started;
	const { user, system } = process.cpuUsage(used);
	await pool.close();
	return { clock, processor: (user + system) / 1e3 };
}
