import { Worker } from 'node:worker_threads';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { startAnalysisPool } from '@/lib/store/analysisPool';
import { readingChoiceSchema } from '@/lib/store/entries';
import { photoOf } from './benchPhoto';

const PHOTOS = 40;
const thread = () => new Worker(new URL('./analysisThread.mjs', import.meta.url));

/** A batch of photos on two workers against one, by the clock; half the batch each way round, so that a busy spell hits both. */
export async function benchBatch(method: 'threshold' | 'model'): Promise<object> {
  const bytes = await photoOf(3);
  const options = {
    choice: readingChoiceSchema.parse({ method }),
    material: BUILT_IN_MATERIALS[0],
    matScale: 1,
    photoName: 'bench',
  };
  const clock = { 1: 0, 2: 0 };
  const processor = { 1: 0, 2: 0 };
  for (const workers of [1, 2, 2, 1] as const) {
    const pool = startAnalysisPool(workers, thread);
    // every worker has read one before the clock starts
    await Promise.all(Array.from({ length: workers }, () => pool.analysePhoto(Uint8Array.from(bytes), options)));
    const [started, used] = [performance.now(), process.cpuUsage()];
    await Promise.all(Array.from({ length: PHOTOS / 2 }, () => pool.analysePhoto(Uint8Array.from(bytes), options)));
    clock[workers] += performance.now() - started;
    const { user, system } = process.cpuUsage(used);
    processor[workers] += (user + system) / 1e3;
    await pool.close();
  }
  return {
    what: 'batch',
    method,
    photos: PHOTOS,
    megapixels: 3,
    oneWorkerMs: Math.round(clock[1]),
    twoWorkersMs: Math.round(clock[2]),
    timesFaster: Number((clock[1] / clock[2]).toPrecision(3)),
    // what two workers cost more than one where the machine has two processors free
    processorTimeRatio: Number((processor[2] / processor[1]).toPrecision(3)),
  };
}
