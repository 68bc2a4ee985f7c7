// Runs the reading thread from source: a thread does not take over what lets its parent read TypeScript.
import { register } from 'tsx/esm/api';

register();
await import('./readingThread.ts');
