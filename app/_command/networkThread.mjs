// Runs the thread that helps with the network from source: a thread does not take over what lets its parent read TypeScript.
import { register } from 'tsx/esm/api';

register();
await import('../../lib/segmentation/networkThread.ts');
