import path from 'node:path';
import { defineConfig } from 'vitest/config';

const top = path.resolve(import.meta.dirname, '..');

/** What holds whichever database the store is on; the other tests of the store are about the data directory itself. */
const ON_POSTGRES = [
	...['analysisQueue', 'checks', 'demo', 'devices', 'eitherDatabase', 'exif', 'importRun', 'lessons'],
	...[
		'lostFiles',
		'photoFiles',
		'prices',
		'quickChecks',
		'records',
		'roomInRun',
		'runFigures',
		'runs',
		'sealRecord',
		'signingKey',
	],
	...['teaching', 'workedRun'],
].map((name) => `tests/store/${name}.test.ts`);

/** Usually all tests; with TEST_DATABASE_URL what holds on PostgreSQL; with KILLS set only the long form of the kills, on either. */
function wanted(): string[] {
	if (process.env.KILLS && process.env.TEST_DATABASE_URL) return ['tests/store/workers.postgres.ts'];
	if (process.env.KILLS) return ['tests/store/kills.test.ts', 'tests/store/*.long.ts'];
	if (process.env.TEST_DATABASE_URL === undefined) return ['tests/**/*.test.ts'];
	return [
		...ON_POSTGRES,
		'tests/report/fuzzedFiles.test.ts',
		'tests/http/*{Routes,Actions}.test.ts',
		'tests/{http,store}/*.postgres.ts',
	];
}

export default defineConfig({
	root: top,
	resolve: { alias: { '@': top, 'server-only': path.join(top, 'tests/empty.ts') } },
	test: {
		include: wanted(),
		setupFiles: ['tests/propertySeed.ts'],
		testTimeout: 120_000,
		hookTimeout: 120_000,
		passWithNoTests: false,
	},
});
