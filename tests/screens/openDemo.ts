import { expect, type Page } from '@playwright/test';

/** Open the demonstration run from the list of all runs: among the latest ones it is only until others follow. */
export async function openDemo(page: Page): Promise<void> {
	await page.goto('/runs');
	await page
		.getByRole('listitem')
		.filter({ has: page.getByText('demonstration', { exact: true }) })
		.getByRole('link', { name: /^Demonstration run/ })
		.click();
	// only the run's own page shows how far its photos are read
	await expect(page.getByRole('heading', { level: 1, name: 'Demonstration run' })).toBeVisible();
}
