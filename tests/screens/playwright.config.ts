import { existsSync, mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { chromium, defineConfig } from '@playwright/test';

const PORT = Number(process.env.E2E_PORT ?? 4180);

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
  projects: [
    // what the yards test is the same at every width
    { name: 'desktop', use: { viewport: { width: 1280, height: 800 } }, testIgnore: 'yards.spec.ts' },
    {
      name: 'phone',
      use: { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 },
    },
  ],
  webServer: {
    command: `node app/_command/serve.mjs --port ${PORT}`,
    cwd: path.resolve(import.meta.dirname, '../..'),
    url: `http://127.0.0.1:${PORT}/api/ready`,
    env: { DECKSIDE_DATA: process.env.E2E_DATA, NEXT_TELEMETRY_DISABLED: '1' },
    stdout: 'pipe',
    stderr: 'pipe',
    reuseExistingServer: false,
    timeout: 60_000,
  },
});
