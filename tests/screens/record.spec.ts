import { readFileSync } from 'node:fs';
import { expect, test } from '@playwright/test';
import { getDocument } from 'pdfjs-dist/legacy/build/pdf.mjs';
import { expectAccessible, expectLegibleInTheDark } from './axe';
import { holdDatabase } from './holdDatabase';
import { openDemo } from './openDemo';
import { READ_WITHIN_MS } from './readWithin';

/** Text of a PDF without its blanks, in which readers differ. */
async function pdfText(bytes: Buffer): Promise<string> {
	const document = await getDocument({ data: Uint8Array.from(bytes), verbosity: 0 }).promise;
	const pages = [];
	for (let number = 1; number <= document.numPages; number++) {
		const { items } = await (await document.getPage(number)).getTextContent();
		pages.push(items.map((item) => ('str' in item ? item.str : '')).join(''));
	}
	return pages.join('').replace(/\s+/g, '');
}

test('a record is made of the demonstration, checked, shared and revoked', async ({ page, browser, context }, {
	project,
}) => {
	await openDemo(page);
	await expect(page.getByRole('progressbar')).toHaveCount(0, { timeout: READ_WITHIN_MS });
	await page.getByRole('link', { name: /^Concentrate 1/ }).click();
	await page.getByRole('link', { name: 'Make the record' }).click();
	await page.getByLabel('Who issues it').fill('Invented yard');
	await page.getByLabel('How the sample was taken').fill('');
	await page.getByRole('button', { name: 'Make the record' }).click();
	await expect(page.locator('.summary')).toContainText('Say how the sample was taken');
	await expectAccessible(page);
	await page.getByLabel('How the sample was taken').fill('Small scoops from the mixed bin');
	await page.getByLabel('Published class to set it against').selectOption('cobra');
	await page.getByRole('button', { name: 'Make the record' }).click();
	const heading = page.getByRole('heading', { level: 1, name: /^Cleanliness record \d{8}-\w{5}$/ });
	await expect(heading).toBeVisible({ timeout: 180_000 });
	await expect(page.getByText("Buyer's analysis governs.")).toBeVisible();
	await expectAccessible(page);
	await expectLegibleInTheDark(page);

	// on paper: the record alone, black on white however dark the screen is
	await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
	await expect(page.getByRole('navigation', { name: 'Pages' })).toBeHidden();
	await expect(page.getByRole('heading', { name: 'Share it' })).toBeHidden();
	await expect(page.getByRole('button', { name: 'Print this page' })).toBeHidden();
	await expect(page.getByText(/^End of record \d{8}-\w{5}\.$/)).toBeVisible();
	await expect(page.locator('body')).toHaveCSS('color', 'rgb(23, 25, 28)');
	await page.emulateMedia({ media: 'screen', colorScheme: 'light' });

	const record = page.url();
	const [file] = await Promise.all([
		page.waitForEvent('download'),
		page.getByRole('link', { name: 'Data file (JSON)' }).click(),
	]);
	const saved = readFileSync(await file.path(), 'utf8');
	await page.getByRole('link', { name: 'Check a record' }).click();
	const photo = {
		name: 'any.jpg',
		mimeType: 'image/jpeg',
		buffer: readFileSync('demo-images/dev-run-conc1-tray1.jpg'),
	};
	const check = async (text: string) => {
		const data = { name: 'record.json', mimeType: 'application/json', buffer: Buffer.from(text) };
		await page.getByLabel('Data file and photos').setInputFiles([data, photo]);
		await page.getByRole('button', { name: 'Check' }).click();
	};
	await check(saved);
	await expect(page.getByText('matches its seal')).toBeVisible();
	await expect(page.getByText('the untouched original of spread 1')).toBeVisible();
	await expect(page.getByText('That is the key of this installation.')).toBeVisible();
	await check(saved.replace('Invented yard', 'Another yard'));
	await expect(page.getByText('Changed since it was sealed: issuer.')).toBeVisible();
	await expectAccessible(page);

	await page.goto(record);
	await page.getByLabel('How long it lasts').selectOption('90');
	await context.setOffline(true);
	await page.getByRole('button', { name: 'Make a link' }).click();
	await expect(page.getByRole('alert').getByText('The laptop does not answer')).toBeVisible();
	await expect(page.getByLabel('How long it lasts')).toHaveValue('90');
	await context.setOffline(false);
	const { E2E_DATA = '', E2E_DATABASE = '' } = process.env;
	const letGo = await holdDatabase(project.name === 'phone' ? { database: E2E_DATABASE } : { directory: E2E_DATA });
	try {
		await page.getByRole('button', { name: 'Make a link' }).click();
		await expect(page.getByRole('alert').getByText('Another program holds the database.')).toBeVisible();
		await expect(page.getByLabel('How long it lasts')).toHaveValue('90');
	} finally {
		await letGo();
	}
	await page.getByRole('button', { name: 'Make a link' }).click();
	const link = await page.getByRole('link', { name: /\/shared\// }).getAttribute('href');
	await expect(page.getByText('It opens on this machine alone.')).toBeVisible();
	const buyer = await browser.newPage();
	await buyer.goto(link!);
	await expect(buyer.getByRole('heading', { level: 1 })).toHaveText((await heading.textContent()) ?? '');
	await expect(buyer.getByRole('link', { name: 'Runs' })).toHaveCount(0);
	await expect(buyer.getByRole('button', { name: /Withdraw|Make a link/ })).toHaveCount(0);
	// its PDF says, digit by digit, what its page says
	const printed = await pdfText(await (await buyer.request.get(`${link}/A4.pdf`)).body());
	const lines = buyer.locator('.record :is(dd, td:not(:has(svg)), th[scope="row"], li, .record-standing p)');
	const told = await lines.allTextContents();
	expect(told.length).toBeGreaterThan(40);
	for (const line of told) expect(printed).toContain(line.replace(/\s+/g, ''));
	const pictures = buyer.locator('.record-picture img');
	await expect.poll(() => pictures.first().evaluate((one: HTMLImageElement) => one.naturalWidth)).toBeGreaterThan(500);
	await expectAccessible(buyer);
	await expectLegibleInTheDark(buyer);
	await context.setOffline(true);
	await page.getByRole('button', { name: 'Revoke this link' }).click();
	await expect(page.getByRole('alert').getByText('The laptop does not answer')).toBeVisible();
	await context.setOffline(false);
	// out of the Wi-Fi's reach nothing is refused, and nothing answers: what was pressed goes on by itself once something does
	await page.route('**', () => undefined);
	await page.getByRole('button', { name: 'Revoke this link' }).click();
	await expect(page.getByRole('alert').getByText('The laptop does not answer yet')).toBeVisible();
	await page.unroute('**');
	await expect(page.getByText(/, revoked on/)).toBeVisible();
	await expect(page.getByRole('link', { name: /\/shared\// })).toHaveCount(0);
	const answer = await buyer.reload();
	expect(answer?.status()).toBe(404);
	await expect(buyer.getByRole('heading', { level: 1 })).toHaveText('Nothing found here');
	const guessed = await buyer.goto(`/shared/${'A'.repeat(32)}`);
	expect(guessed?.status()).toBe(404);
	await expect(buyer.getByRole('heading', { level: 1 })).toHaveText('Nothing found here');
	await buyer.close();
	await page.goto('/records');
	await expectAccessible(page);
});
