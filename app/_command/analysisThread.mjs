// Runs the analysis worker from source: a thread does not take over what lets its parent read TypeScript.
import { Worker } from 'node:worker_threads';
import { register } from 'tsx/esm/api';

register();
const { startPartnersBy } = await import('../../lib/segmentation/threadPartner.ts');
startPartnersBy((options) => new Worker(new URL('./networkThread.mjs', import.meta.url), options));
await import('../../lib/store/analysisWorker.ts');
