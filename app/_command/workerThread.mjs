// A thread that reads photos from source: a program's way of taking in TypeScript does not reach its threads by itself.
import { Worker } from 'node:worker_threads';
import { register } from 'tsx/esm/api';

register();
const { startPartnersBy } = await import('../../lib/segmentation/threadPartner.ts');
startPartnersBy((options) => new Worker(new URL('./networkThread.mjs', import.meta.url), options));
await import('../../lib/store/analysisWorker.ts');
