import { readFileSync } from 'node:fs';
import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { READ_WITHIN_MS } from './readWithin';
import { startRun } from './startRun';

const PHOTO = 'demo-images/dev-run-conc1-tray1.jpg';
const OTHER_PHOTO = 'demo-images/dev-run-tailings-tray2.jpg';
const TRAY_PHOTO = 'demo-images/dev-clean-stainless-led.jpg';

async function openProduct(page: Page, name: string): Promise<void> {
	await page.getByRole('link', { name: new RegExp(`^${name}`) }).click();
	await expect(page.getByRole('heading', { level: 1, name })).toBeVisible();
}

async function weigh(page: Page, gross: string, tare: string): Promise<void> {
	await page.getByRole('link', { name: 'Weigh', exact: true }).click();
	await page.getByLabel('Gross weight').fill(gross);
	await page.getByLabel('Tare').fill(tare);
	await page.getByRole('radio', { name: 'Dry', exact: true }).check();
	await page.getByRole('button', { name: 'Save weight' }).click();
	await expect(page.getByText(/^Weighed: /)).toBeVisible();
}

test('lot, run, weights and photos become grades, a balance and a record', async ({ page }, { project }) => {
	await startRun(page, `Run on the ${project.name}`);
	await openProduct(page, 'Concentrate 1');
	await weigh(page, '3.10', '0,40');
	await page.getByLabel('Choose photos').setInputFiles([PHOTO]);
	await expect(page.getByText('is kept')).toBeVisible();
	await expect(page.getByText(/^Copper (over )?\d+(\.\d+)?\s%/).first()).toBeVisible({ timeout: READ_WITHIN_MS });
	await expect(page.getByRole('status').filter({ hasText: 'Reading is done.' })).toBeAttached();
	await expectAccessible(page);
	await page.getByRole('navigation', { name: 'Way back' }).getByRole('link').click();
	await openProduct(page, 'Tailings');
	await weigh(page, '3.20', '0.40');
	await page.getByLabel('Choose photos').setInputFiles([OTHER_PHOTO]);
	await expect(page.getByText(/Insulation (over )?\d+(\.\d+)?\s%/).first()).toBeVisible({ timeout: READ_WITHIN_MS });
	await page.getByRole('navigation', { name: 'Way back' }).getByRole('link').click();
	// two bins of four are left out of this run
	for (const name of ['Concentrate 2', 'Middlings']) {
		await openProduct(page, name);
		await page.getByRole('link', { name: 'Change name or kind, or remove' }).click();
		await page.getByRole('button', { name: 'Remove this product' }).click();
		await expect(page.getByText('The product was removed.')).toBeVisible();
	}
	await expect(page.getByText(/Products weigh 99(\.\d+)?\s% \(.+\) of the feed/)).toBeVisible();
	await expect(page.getByRole('table', { name: 'Copper' })).toContainText('Concentrates together');
	await expectAccessible(page);
	await openProduct(page, 'Concentrate 1');
	await page.getByRole('link', { name: 'Make the record' }).click();
	await page.getByLabel('Who issues it').fill('Invented yard');
	await page.getByLabel('How the sample was taken').fill('Scoops from the mixed bin');
	await page.getByRole('button', { name: 'Make the record' }).click();
	await expect(page.getByRole('heading', { level: 1, name: /^Cleanliness record/ })).toBeVisible({
		timeout: READ_WITHIN_MS,
	});
	await expect(page.getByRole('table', { name: /^Shares of the dry mass/ })).toContainText(/Copper\s*(over )?\d/);
});

test('a long name without blanks makes no page too wide, and a form left open takes nothing back', async ({
	page,
	context,
}) => {
	await startRun(page, 'W'.repeat(70));
	await expectAccessible(page);
	await page.getByRole('link', { name: 'Change feed and settings' }).click();
	await expect(page.getByLabel('Stroke length')).toBeVisible();
	await expectAccessible(page);
	const other = await context.newPage();
	await other.goto(page.url());
	await page.getByLabel('Stroke length').fill('15');
	await page.getByRole('button', { name: 'Save', exact: true }).click();
	await expect(page.getByText(/^15\smm$/)).toBeVisible();
	await other.getByLabel('Strokes', { exact: true }).fill('300');
	await other.getByRole('button', { name: 'Save', exact: true }).click();
	await expect(other.getByText(/^300\sper minute$/)).toBeVisible();
	await expect(other.getByText(/^15\smm$/)).toBeVisible();
});

test('figures that are worked out anew say so and come by themselves; without scripts the page is loaded again', async ({
	page,
	browser,
	baseURL,
}, { project }) => {
	await startRun(page, `Anew on the ${project.name}`);
	const run = page.url();
	await openProduct(page, 'Concentrate 1');
	await weigh(page, '3.10', '0,40');
	await page.goto(run);
	const feedIn = (one: Page) => one.getByRole('row', { name: /^Feed/ }).first();
	await expect(feedIn(page)).toContainText('5.52');
	// nobody else asks for the run: whoever loads it first after a change can only have the figures from before
	await page.goto('/help');
	const context = await browser.newContext({ javaScriptEnabled: false, ...(baseURL === undefined ? {} : { baseURL }) });
	const still = await context.newPage();
	await still.goto(`${run}/edit`);
	await still.getByLabel('Gross weight').first().fill('7.02');
	await still.getByRole('button', { name: 'Save' }).click();
	const note = /^Figures from before the latest change\./;
	await expect(still.getByText(note)).toBeVisible();
	await expect(feedIn(still)).toContainText('5.52');
	await expect(async () => {
		await still.reload();
		await expect(still.getByText(note)).toHaveCount(0, { timeout: 1 });
	}).toPass();
	await expect(feedIn(still)).toContainText('6.52');
	await context.close();
	await page.goto(`${run}/edit`);
	await page.getByLabel('Gross weight').first().fill('8.02');
	await page.getByRole('button', { name: 'Save' }).click();
	await expect(feedIn(page)).toContainText('7.52');
	await expect(page.getByText(note)).toHaveCount(0);
});

test('a feed that was not weighed at the start is weighed later, from the run or at the table', async ({ page }, {
	project,
}) => {
	await page.goto('/lots/new');
	await page.getByLabel('Name of the lot').fill(`Feed later on the ${project.name}`);
	await page.getByRole('button', { name: 'Save lot' }).click();
	await page.getByRole('link', { name: 'Start a run from this lot' }).click();
	await page.getByLabel('Stroke length').fill('14');
	await page.getByRole('button', { name: 'Start the run' }).click();
	await page.getByRole('link', { name: 'Weigh the feed' }).click();
	await page.getByLabel('Gross weight').fill('6,02');
	await page.getByRole('radio', { name: 'Dry', exact: true }).check();
	await page.getByRole('button', { name: 'Save weight' }).click();
	await expect(page.getByText('Weighed: 6.02\u00a0kg net, dry.')).toBeVisible();
	// the settings stay
	await expect(page.getByText(/^14\smm$/)).toBeVisible();
	await expect(page.getByRole('link', { name: 'Weigh the feed' })).toHaveCount(0);
	await page.getByRole('link', { name: 'Work at the table' }).click();
	await expect(page.getByRole('link', { name: /^Feed Done Weighed: 6\.02/ })).toBeVisible();
});

test('a removed product can be brought back', async ({ page }, { project }) => {
	await startRun(page, `Undo on the ${project.name}`);
	await openProduct(page, 'Middlings');
	await page.getByRole('link', { name: 'Change name or kind, or remove' }).click();
	await page.getByRole('button', { name: 'Remove this product' }).click();
	await page.getByRole('button', { name: 'Bring it back' }).click();
	await expect(page.getByRole('heading', { level: 1, name: 'Middlings' })).toBeVisible();
});

test('a tare above the gross weight is told, keeps what was typed, and the summary leads to the field', async ({
	page,
}, { project }) => {
	await startRun(page, `Tare on the ${project.name}`);
	await openProduct(page, 'Concentrate 1');
	await page.getByRole('link', { name: 'Weigh', exact: true }).click();
	await page.getByLabel('Gross weight').fill('1,2');
	await page.getByLabel('Tare').fill('3.4');
	await page.getByLabel('Unit').selectOption('lb');
	await page.getByRole('radio', { name: 'Dry', exact: true }).check();
	await page.getByRole('button', { name: 'Save weight' }).click();
	const summary = page.getByRole('alert').filter({ hasText: 'Fix this to go on' });
	await expect(summary).toBeFocused();
	await expect(page).toHaveTitle(/^Error: /);
	await expect(page.getByLabel('Gross weight')).toHaveValue('1,2');
	await expect(page.getByLabel('Tare')).toHaveValue('3.4');
	await expect(page.getByLabel('Unit')).toHaveValue('lb');
	await expect(page.getByRole('radio', { name: 'Dry', exact: true })).toBeChecked();
	await expectAccessible(page);
	await summary.getByRole('link').click();
	await expect(page.getByLabel('Tare')).toBeFocused();
	await page.getByLabel('Tare').fill('0,4');
	await page.getByRole('button', { name: 'Save weight' }).click();
	await expect(page.getByText(/Weighed: 0\.8\slb net, dry\./)).toBeVisible();
});

test('what is not a photo is told beside the file, the others are kept', async ({ page }, { project }) => {
	await startRun(page, `Bad files on the ${project.name}`);
	await openProduct(page, 'Concentrate 1');
	const photo = readFileSync(PHOTO);
	await page.getByLabel('Choose photos').setInputFiles([
		{ name: 'notes.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('<html>not a photo</html>') },
		{ name: 'empty.jpg', mimeType: 'image/jpeg', buffer: Buffer.alloc(0) },
		{ name: 'cut-short.jpg', mimeType: 'image/jpeg', buffer: photo.subarray(0, photo.length / 2) },
		{ name: 'good.jpg', mimeType: 'image/jpeg', buffer: photo },
	]);
	await expect(page.getByText(/notes\.jpg: The file is .*not a photo/)).toBeVisible();
	await expect(page.getByText(/empty\.jpg: The file is empty/)).toBeVisible();
	await expect(page.getByText('good.jpg is kept')).toBeVisible();
	await expect(page.getByText(/Could not be read: The photo is damaged or cut short/)).toBeVisible({
		timeout: READ_WITHIN_MS,
	});
	await expect(page.getByText(/^Copper .+%/).first()).toBeVisible({ timeout: READ_WITHIN_MS });
});

test('a plain tray is read once its corners are set, by keyboard or as numbers', async ({ page }, { project }) => {
	await startRun(page, `Tray on the ${project.name}`);
	await openProduct(page, 'Concentrate 1');
	await page.getByLabel('Choose photos').setInputFiles([TRAY_PHOTO]);
	await expect(page.getByText(/Could not be read: The spread mat was not found/)).toBeVisible({
		timeout: READ_WITHIN_MS,
	});
	// where the original is lost its panel says so, though nothing was read from it
	const body = JSON.stringify({ message: 'The original photo is missing.', hint: 'Send the photo again.' });
	const picture = /\/api\/photos\/[^/]+\/picture/;
	await page.route(picture, (route) => route.fulfill({ status: 507, contentType: 'application/json', body }));
	await page.getByRole('link', { name: 'Spread 1' }).click();
	const panel = page.getByRole('region', { name: /^Photo / });
	await expect(panel.getByText('The original photo is missing. Send the photo again.')).toBeVisible();
	await page.unroute(picture);
	await page.reload();
	await page.getByLabel('What the spread lies on').selectOption('tray');
	const handle = page.getByRole('button', { name: /^Corner 1, top-left/ });
	await handle.press('ArrowRight');
	await handle.press('Shift+ArrowDown');
	await page.getByRole('button', { name: 'Read it this way' }).click();
	await expect(page.getByRole('alert').getByRole('link', { name: "Enter the tray's inner width in mm" })).toBeVisible();
	await expectAccessible(page);
	const { field_corners_px: corners, field_mm: field } = JSON.parse(
		readFileSync(TRAY_PHOTO.replace('.jpg', '.truth.json'), 'utf8'),
	);
	await page.getByText('Corners as numbers').click();
	const names = ['top-left', 'top-right', 'bottom-right', 'bottom-left'];
	for (const [i, name] of names.entries()) {
		await page.getByLabel(`x, ${name}`).fill(String(corners[i][0]));
		await page.getByLabel(`y, ${name}`).fill(String(corners[i][1]));
	}
	await page.getByLabel('Inner width of the tray').fill(String(field[0]));
	await page.getByLabel('Inner height of the tray').fill(String(field[1]));
	await page.getByRole('button', { name: 'Read it this way' }).click();
	await expect(page.getByText('Plain tray, field 194\u00a0mm by 134\u00a0mm')).toBeVisible({ timeout: READ_WITHIN_MS });
});

test('another site cannot change anything here', async ({ request }) => {
	const answer = await request.put('/api/photos/00000000-0000-4000-8000-000000000000', {
		headers: { origin: 'http://elsewhere.example' },
		data: Buffer.from('x'),
	});
	expect(answer.status()).toBe(403);
});
