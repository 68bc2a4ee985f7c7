// Runs the analysis worker from source: a thread does not take over what lets its parent read TypeScript.
import { Worker } from 'node:worker_threads';
import { register } from 'tsx/esm/api';

register();
const { startPartnersBy } = await import('../../lib/segmentation/threadPartner.ts');
startPartnersBy(() => new Worker(new URL('./networkThread.mjs', import.meta.url)));
await import('../../lib/store/analysisWorker.ts');
