import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { openDemo } from './openDemo';
import { READ_WITHIN_MS } from './readWithin';

// the demonstration's photos may still be read when this file's turn comes
test.setTimeout(READ_WITHIN_MS + 200_000);

/** Working out what ranges are made of, on a busy machine. */
const EXPLAINED_WITHIN_MS = 120_000;

async function openConcentrate(page: Page): Promise<void> {
	await openDemo(page);
	await expect(page.getByRole('progressbar')).toHaveCount(0, { timeout: READ_WITHIN_MS });
	await page.getByRole('link', { name: /^Concentrate 1/ }).click();
	await expect(page.getByRole('heading', { level: 1, name: 'Concentrate 1' })).toBeVisible();
}

test('a product tells what its range is made of, what to measure next and how much to spread', async ({ page }) => {
	await openConcentrate(page);
	const locked = page.getByText(/^Of the dry product, .* is copper locked in insulation/);
	await expect(locked).toBeVisible({ timeout: EXPLAINED_WITHIN_MS });
	await page.getByRole('link', { name: 'Why this range?' }).click();
	await expect(page.getByText(/^Best next, on /).first()).toBeVisible({ timeout: EXPLAINED_WITHIN_MS });
	await expect(page.getByRole('table', { name: 'What the range is made of' }).first()).toBeVisible();
	await expect(page.getByRole('heading', { name: 'How much to spread, and how many spreads' })).toBeVisible();
	await expect(page.getByRole('table', { name: /^Before the first spread/ })).toBeVisible();
	await expect(page.getByRole('heading', { name: /^Copper recovered in the concentrates: / })).toBeVisible();
	await expectAccessible(page);
});

test('a laboratory result stands beside the photos, and a slip is told at its field', async ({ page }) => {
	await openConcentrate(page);
	await page.getByRole('link', { name: 'Check by hand or laboratory' }).click();
	await page.getByText('Laboratory result', { exact: true }).click();
	await page.getByLabel('Copper', { exact: true }).fill('120');
	await page.getByLabel('Its standard uncertainty').fill('0,3');
	await page.getByRole('button', { name: 'Save check' }).click();
	await expect(page.getByRole('alert').getByText(/must lie between 0 and 100\s%/)).toBeVisible();
	await page.getByLabel('Copper', { exact: true }).fill('97,5');
	await page.getByRole('button', { name: 'Save check' }).click();
	await expect(page.getByText(/^Laboratory result: copper 97\.5 %/)).toBeVisible();
	// it is saved, so nothing of it waits in the form to be saved once more
	await expect(page.getByText('What you typed here before is back.')).toHaveCount(0);
	await expect(page.getByRole('row', { name: /^Laboratory/ })).toBeVisible({ timeout: EXPLAINED_WITHIN_MS });
	await expect(page.getByText(/^Copper, all estimates together: /)).toBeVisible();
	await expectAccessible(page);
	const which = page.locator('details', { hasText: 'clean of all metal, cores too' }).getByLabel('Which spread');
	await page.getByText('Blank', { exact: true }).click();
	await page.getByRole('button', { name: 'Save check' }).click();
	await expect(page.getByRole('alert').getByText('Choose the spread that it is about')).toBeVisible();
	await which.selectOption('Spread 2');
	await page.getByRole('button', { name: 'Save check' }).click();
	await expect(page.getByRole('alert').getByText(/^The photo of spread 2 reads copper /)).toBeVisible();
	await expectAccessible(page);
	// who reads the product's own page relies on the same figure
	await page.getByRole('link', { name: 'Concentrate 1', exact: true }).click();
	await expect(page.getByText(/^With its checks: copper /)).toBeVisible({ timeout: EXPLAINED_WITHIN_MS });
	await page.getByRole('link', { name: 'Checks (1)' }).click();
	await page.getByRole('button', { name: 'Remove' }).click();
	await expect(page.getByText('The check was removed.')).toBeVisible();
	await expect(page.getByText('No check yet.')).toBeVisible({ timeout: EXPLAINED_WITHIN_MS });
});
