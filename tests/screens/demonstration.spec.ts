import { expect, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { loseOutlines } from './loseOutlines';
import { openDemo } from './openDemo';
import { READ_WITHIN_MS } from './readWithin';

test('a newcomer finds the demonstration run, worked out here and marked as invented', async ({ page }) => {
	await openDemo(page);
	await expect(page.getByRole('heading', { level: 1, name: 'Demonstration run' })).toBeVisible();
	await expect(page.getByText('Demonstration: invented, rendered pictures.')).toBeVisible();
	// all of its photos have been read
	await expect(page.getByRole('progressbar', { name: 'Photos read' })).toHaveCount(0, { timeout: READ_WITHIN_MS });
	await expect(page.getByText(/Copper recovered in the concentrates: (over )?\d+(\.\d+)?\s%/)).toBeVisible();
	await expect(page.getByText(/Products weigh \d+(\.\d+)?\s% \(.+\) of the feed/)).toBeVisible();
	await expect(page.locator('.tile')).toHaveCount(4);
	for (const tile of await page.locator('.tile').all()) await expect(tile).toContainText(/Copper .+%/);
	await expectAccessible(page);
});

test('a spread shows its photo and its outlines, one class or all, and what lies under the finger', async ({
	page,
}) => {
	await openDemo(page);
	await page.getByRole('link', { name: /Middlings/ }).click();
	await expectAccessible(page);
	await page.getByRole('link', { name: 'Spread 1' }).click();
	const stage = page.locator('.picture-stage canvas');
	const words = page.locator('.piece-words');
	await expect(words).toContainText('Tap a piece');
	// close up in the middle of the spread some piece lies under the cross sooner or later
	await stage.focus();
	const lookAround = async () => {
		await page.keyboard.press('ArrowLeft');
		await page.keyboard.press('Enter');
		return words.textContent();
	};
	for (let k = 0; k < 4; k++) await page.keyboard.press('+');
	await expect.poll(lookAround).toMatch(/: \d+\.\d\smm long, \d+\.\d\d\smm wide, about .+\smg \(.+ to .+\)/);
	// switched off, no piece of the class is drawn or found any more
	const classes = page.getByRole('group', { name: 'Classes to outline' }).getByRole('button');
	await expect(classes).toHaveCount(6);
	for (const one of await classes.all()) await one.click();
	await expect(classes.first()).toHaveAttribute('aria-pressed', 'false');
	await stage.focus();
	await page.keyboard.press('Enter');
	await expect(words).toContainText('Tap a piece');
	const bare = await stage.screenshot();
	await page.getByRole('button', { name: 'Photo', exact: true }).click();
	await page.getByRole('button', { name: 'Outlines' }).click();
	await classes.first().click();
	await expect.poll(async () => (await stage.screenshot()).equals(bare)).toBe(false);
	await expectAccessible(page);
});

test('a spread whose outlines are lost says so and offers to read the photo again', async ({ page }, { project }) => {
	const { E2E_DATA = '', E2E_DATABASE = '' } = process.env;
	const putBack = await loseOutlines(project.name === 'phone' ? { database: E2E_DATABASE } : { directory: E2E_DATA });
	try {
		await openDemo(page);
		await page.getByRole('link', { name: /Middlings/ }).click();
		await page.getByRole('link', { name: 'Spread 2' }).click();
		await expect(page.getByText(/what was seen on this photo is missing where the data is kept/)).toBeVisible();
		await expect(page.getByRole('button', { name: 'Read it again as it is' })).toBeVisible();
		await expect(page.getByText('Shares of the dry mass, from this photo alone')).toBeVisible();
		await expectAccessible(page);
	} finally {
		await putBack();
	}
});

test('a photo whose original is lost says so in the place of its picture, and its figures stay', async ({ page }) => {
	await openDemo(page);
	await expect(page.getByRole('progressbar', { name: 'Photos read' })).toHaveCount(0, { timeout: READ_WITHIN_MS });
	const body = JSON.stringify({ message: 'The original photo is missing.', hint: 'Send the photo again.' });
	await page.route(/\/api\/photos\/[^/]+\/picture/, (route) =>
		route.fulfill({ status: 507, contentType: 'application/json', body }),
	);
	await page.getByRole('link', { name: /Middlings/ }).click();
	const words = page.getByText('The original photo is missing. Send the photo again.');
	await expect(page.locator('.thumb').filter({ has: words }).first()).toBeVisible();
	await expectAccessible(page);
	await page.getByRole('link', { name: 'Spread 2' }).click();
	await expect(page.getByText('Shares of the dry mass, from this photo alone')).toBeVisible();
	await expect(words).toBeVisible();
});

test('masses and numbers are shown as this device has chosen, everywhere at once', async ({ page }) => {
	await page.goto('/');
	await page.getByRole('link', { name: 'Units and numbers' }).click();
	await page.getByLabel('Pounds and short tons').check();
	await page.getByLabel('1 240,5 and 05.03.2026').check();
	await page.getByRole('button', { name: 'Save on this device' }).click();
	await expect(page.getByText('Saved on this device.')).toBeVisible();
	await expect(page.getByText(/^9,08\slb \(9,04 to 9,13\)$/)).toBeVisible();
	await openDemo(page);
	await expect(page.getByText(/Weighed: \d+,\d+\slb net/).first()).toBeVisible();
	await page.goto('/units');
	await page.getByLabel('As each mass was entered').check();
	await page.getByLabel('As this device does').check();
	await page.getByRole('button', { name: 'Save on this device' }).click();
	await expect(page.getByText(/^4\.12\skg \(4\.10 to 4\.14\)$/)).toBeVisible();
	await openDemo(page);
	await expect(page.getByText(/Weighed: \d+\.\d+\skg net/).first()).toBeVisible();
});

test('the flow prints in black on white, without buttons and menus, its numbers beside each band', async ({ page }) => {
	await openDemo(page);
	await page.getByRole('link', { name: /Flow/ }).click();
	await page.emulateMedia({ media: 'print', colorScheme: 'light' });
	await expect(page.getByRole('navigation', { name: 'Pages' })).toBeHidden();
	await expect(page.getByRole('button', { name: 'Print' })).toBeHidden();
	const drawing = page.getByRole('img', { name: /from feed to bins/ });
	await expect(drawing).toBeVisible();
	await expect(drawing).toContainText(/kg \(/);
	await expect(page.getByRole('table')).toBeVisible();
});

test('the mat comes as a file at true size', async ({ request }) => {
	const answer = await request.get('/mat/A5');
	expect(answer.headers()['content-type']).toBe('application/pdf');
	expect((await answer.body()).subarray(0, 5).toString()).toBe('%PDF-');
});

test('an address that leads to nothing says so', async ({ page }) => {
	const answer = await page.goto('/runs/00000000-0000-4000-8000-000000000000');
	expect(answer?.status()).toBe(404);
	await expect(page.getByRole('heading', { name: 'Nothing found here' })).toBeVisible();
});
