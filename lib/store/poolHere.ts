import 'server-only';
import type { AnalysisPool } from './analysisPool';
import * as engine from './engine';
import * as sumsEngine from './sumsEngine';
import * as teachingEngine from './teachingEngine';

/** The engine itself in the place of worker threads, for benchmarks and tests: whoever asks waits in the same thread. */
export const POOL_HERE: AnalysisPool = {
	...engine,
	...sumsEngine,
	...teachingEngine,
	size: 1,
	practise: async () => {},
	close: async () => {},
};
