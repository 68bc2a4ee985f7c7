import { existsSync, mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { chromium, defineConfig } from '@playwright/test';

const PORT = Number(process.env.E2E_PORT ?? 4180);
const [POSTGRES_APP_PORT, DATABASE_PORT] = [PORT + 100, PORT + 200];

/**
 * The browser is found once: one named in E2E_BROWSER, Playwright's own, the system's, else the one that comes inside an npm
 * package. The path goes through the environment because each worker reads this file again.
 */
async function browserPath(): Promise<string> {
	const known = [process.env.E2E_BROWSER, chromium.executablePath(), '/usr/bin/chromium', '/usr/bin/google-chrome'];
	const found = known.find((file) => file !== undefined && existsSync(file));
	if (found !== undefined) return found;
	try {
		return await (await import('@sparticuz/chromium')).default.executablePath();
	} catch (cause) {
		throw new Error('No browser for the screen tests: install Chromium, or name one in E2E_BROWSER.', { cause });
	}
}

process.env.E2E_BROWSER = await browserPath();
process.env.E2E_DATA ??= mkdtempSync(path.join(tmpdir(), 'deckside-screens-'));
process.env.E2E_DATABASE = `postgres://deckside@127.0.0.1:${DATABASE_PORT}/postgres`;
const TOP = path.resolve(import.meta.dirname, '../..');

export default defineConfig({
	testDir: '.',
	testMatch: '*.spec.ts',
	outputDir: '../../test-results',
	// one data directory and one order of events: the demonstration first, then a run of one's own
	workers: 1,
	fullyParallel: false,
	retries: 0,
	// photos are really read, and that takes as long as the machine takes
	timeout: 900_000,
	expect: { timeout: 30_000 },
	forbidOnly: true,
	reporter: 'list',
	use: {
		baseURL: `http://127.0.0.1:${PORT}`,
		trace: 'retain-on-failure',
		// a control that never comes is told as such, long before the test's own time is up
		actionTimeout: 120_000,
		launchOptions: {
			executablePath: process.env.E2E_BROWSER,
			args: ['--no-sandbox', '--disable-background-networking', '--disable-component-update', '--no-first-run'],
		},
	},
	// every flow at both widths and on both databases; the four pairs of them would take twice as long and tell no more
	projects: [
		// what the yards test is the same at every width
		{ name: 'desktop', use: { viewport: { width: 1280, height: 800 } }, testIgnore: 'yards.spec.ts' },
		{
			name: 'phone',
			use: {
				baseURL: `http://127.0.0.1:${POSTGRES_APP_PORT}`,
				viewport: { width: 360, height: 740 },
				hasTouch: true,
				isMobile: true,
				deviceScaleFactor: 2,
			},
		},
	],
	webServer: [
		{
			name: 'data directory',
			command: `node app/_command/serve.mjs --port ${PORT}`,
			cwd: TOP,
			url: `http://127.0.0.1:${PORT}/api/ready`,
			env: { DECKSIDE_DATA: process.env.E2E_DATA, NEXT_TELEMETRY_DISABLED: '1' },
			stdout: 'pipe',
			stderr: 'pipe',
			reuseExistingServer: false,
			timeout: 300_000,
		},
		{
			name: 'PostgreSQL',
			command: `node --conditions=react-server --import tsx tests/screens/serveOnPostgres.ts ${POSTGRES_APP_PORT} ${DATABASE_PORT}`,
			cwd: TOP,
			url: `http://127.0.0.1:${POSTGRES_APP_PORT}/api/ready`,
			env: { NEXT_TELEMETRY_DISABLED: '1' },
			gracefulShutdown: { signal: 'SIGTERM', timeout: 20_000 },
			stdout: 'pipe',
			stderr: 'pipe',
			reuseExistingServer: false,
			timeout: 300_000,
		},
	],
});
