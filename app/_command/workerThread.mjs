// A thread that reads photos from source: a program's way of taking in TypeScript does not reach its threads by itself.
import { register } from 'tsx/esm/api';

register();
await import('../../lib/store/analysisWorker.ts');
