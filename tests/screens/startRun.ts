import { expect, type Page } from '@playwright/test';

/** From an empty list to a run's board. */
export async function startRun(page: Page, name: string): Promise<void> {
	await page.goto('/lots/new');
	await page.getByLabel('Name of the lot').fill(`Lot of ${name}`);
	await page.getByLabel(/^Received mass/).fill('412,5');
	await page.getByRole('button', { name: 'Save lot' }).click();
	await expect(page.getByText('412.5\u00a0kg')).toBeVisible();
	await page.getByRole('link', { name: 'Start a run from this lot' }).click();
	await page.getByLabel('Name of the run').fill(name);
	await page.getByLabel('Gross weight').first().fill('6,02');
	await page.getByLabel('Tare').first().fill('0.50');
	await page.getByRole('radio', { name: 'Dry', exact: true }).check();
	await page.getByRole('button', { name: 'Start the run' }).click();
	await expect(page.getByRole('heading', { level: 1, name })).toBeVisible();
}
