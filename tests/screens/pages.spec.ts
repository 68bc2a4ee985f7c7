import { readdirSync } from 'node:fs';
import path from 'node:path';
import { expect, type Page, test } from '@playwright/test';
import { expectAccessible, expectLegibleInTheDark, expectToFitTwiceAsLarge } from './axe';
import { openDemo } from './openDemo';
import { READ_WITHIN_MS } from './readWithin';

// the demonstration's photos may still be read when this file's turn comes
test.setTimeout(READ_WITHIN_MS + 400_000);

/** Pages that need more than the demonstration; the file named walks them. */
const WALKED_IN: Readonly<Record<string, string>> = {
	'/records/[recordId]': 'record.spec.ts',
	'/shared/[token]': 'record.spec.ts',
};

/** An id that nothing has. */
const NOBODY = '00000000-0000-4000-8000-000000000000';

test('every page can be read aloud and in the dark, fits its screen and asks nobody else for anything', async ({
	page,
}, { project }) => {
	const foreign: string[] = [];
	page.on('request', (request) => {
		if (!request.url().startsWith('http://127.0.0.1:')) foreign.push(request.url());
	});
	// what the page was kept from doing, scripts without their nonce for example
	page.on('console', (said) => /Content Security Policy/.test(said.text()) && foreign.push(said.text()));
	const ids = await demoIds(page);
	for (const route of routes()) {
		if (route in WALKED_IN) continue;
		await test.step(route, async () => {
			await page.goto(addressOf(route, ids));
			await expect(
				page.getByRole('status').filter({ hasText: /^(Working out|Being worked out|Figures )/ }),
			).toHaveCount(0);
			await expectAccessible(page);
			await expectLegibleInTheDark(page);
			// a table of many columns may scroll, and where there is room tables are not stacked
			if (project.name === 'phone' && !route.endsWith('/budget')) await expectToFitTwiceAsLarge(page);
		});
	}
	expect(foreign).toEqual([]);
});

test('pages that the table does not need lie behind a button on a phone, for the keyboard as well', async ({ page }, {
	project,
}) => {
	await page.goto('/');
	const pages = page.getByRole('navigation', { name: 'Pages' });
	const more = pages.getByRole('button', { name: 'More' });
	const mat = pages.getByRole('link', { name: 'Mat', exact: true });
	await expect(pages.getByRole('link', { name: 'Today' })).toHaveAttribute('aria-current', 'page');
	if (project.name === 'phone') {
		await expect(mat).toBeHidden();
		await more.press('Enter');
		await expect(mat).toBeVisible();
		await mat.press('Escape');
		await expect(mat).toBeHidden();
		await expect(more).toBeFocused();
		await more.press('Enter');
	} else {
		await expect(more).toBeHidden();
	}
	await mat.press('Enter');
	await expect(page.getByRole('heading', { level: 1, name: 'Spread mat' })).toBeVisible();
	await expect(pages.getByRole('link')).toHaveCount(project.name === 'phone' ? 3 : 12);
});

test('a pressed button moves, but not for who asked for less motion', async ({ page }) => {
	await page.goto('/');
	const button = page.getByRole('link', { name: 'Grade one photo, without a run' });
	const shift = async () => {
		await button.hover();
		await page.mouse.down();
		const moved = await button.evaluate((element) => getComputedStyle(element).transform);
		// let go elsewhere, so that nothing is opened
		await page.mouse.move(0, 0);
		await page.mouse.up();
		return moved;
	};
	expect(await shift()).toBe('matrix(1, 0, 0, 1, 0, 2)');
	await page.emulateMedia({ reducedMotion: 'reduce' });
	expect(await shift()).toBe('none');
	const moving = await page.evaluate(() =>
		[...document.querySelectorAll('*')]
			.filter((element) => {
				const { animationName, transitionDuration } = getComputedStyle(element);
				return animationName !== 'none' || transitionDuration !== '0s';
			})
			.map(({ tagName }) => tagName),
	);
	expect(moving).toEqual([]);
});

/** Each page that there is, by its folder: a new one is walked without being named here. */
function routes(): readonly string[] {
	const app = path.resolve(import.meta.dirname, '../../app');
	return readdirSync(app, { recursive: true, encoding: 'utf8' })
		.filter((file) => path.basename(file) === 'page.tsx')
		.map((file) => `/${path.dirname(file).split(path.sep).join('/')}`.replace(/^\/\.$/, '/'))
		.sort();
}

type Ids = Readonly<Record<'lotId' | 'runId' | 'productId' | 'spreadId' | 'photoId' | 'checkId', string>>;

/** What the demonstration's things are called in addresses. */
async function demoIds(page: Page): Promise<Ids> {
	await openDemo(page);
	await expect(page.getByRole('progressbar')).toHaveCount(0, { timeout: READ_WITHIN_MS });
	const last = (address: string | null) => /([^/#?]+)(?:[#?].*)?$/.exec(address ?? '')?.[1] ?? '';
	const runId = last(page.url());
	const lotId = last(await page.getByRole('link', { name: /^Lot: / }).getAttribute('href'));
	await page.getByRole('link', { name: /^Middlings/ }).click();
	const spread = page.getByRole('link', { name: 'Spread 1' });
	await expect(spread).toBeVisible();
	const productId = last(page.url());
	const spreadId = last(await spread.getAttribute('href'));
	await spread.click();
	const photoId = last(await page.getByRole('link', { name: /^Teach what is what/ }).getAttribute('href'));
	return { lotId, runId, productId, spreadId, photoId, checkId: NOBODY };
}

/** The page's address with the demonstration's ids, and what it can't be opened without. */
function addressOf(route: string, ids: Ids): string {
	const address = route.replace(/\[(\w+)\]/g, (_, name: keyof Ids) => ids[name]);
	if (route === '/compare/settings') return `${address}?lot=${ids.lotId}`;
	if (route === '/records/new') return `${address}?product=${ids.productId}`;
	return address;
}

test('a form left half filled comes back as it was left, until it is thrown away, left on purpose or taken', async ({
	page,
}) => {
	const back = page.getByText('What you typed here before is back.');
	const [name, source] = [page.getByLabel('Name of the lot'), page.getByLabel('Where it is from')];
	await page.goto('/lots/new');
	await name.fill('Half a lot');
	await page.getByLabel('Unit').selectOption('lb');
	await page.goto('/');
	await page.goto('/lots/new');
	await expect(back).toBeVisible();
	await expect(name).toHaveValue('Half a lot');
	await expect(page.getByLabel('Unit')).toHaveValue('lb');
	await expectAccessible(page);
	await page.getByRole('button', { name: 'Throw it away' }).click();
	await expect(name).toHaveValue('');
	await expect(back).toHaveCount(0);
	await source.fill('left on purpose');
	await page.getByRole('link', { name: 'Leave without saving' }).click();
	await expect(page.getByRole('heading', { level: 1, name: 'Lots' })).toBeVisible();
	await page.goto('/lots/new');
	await expect(source).toHaveValue('');
	await expect(back).toHaveCount(0);
	// sent back with a problem, and left then
	await source.fill('no name yet');
	await page.getByRole('button', { name: 'Save lot' }).click();
	await expect(page.getByRole('alert').getByText('Enter a name for the lot')).toBeVisible();
	await page.goto('/lots/new');
	await expect(source).toHaveValue('no name yet');
	await name.fill('Half a lot, whole');
	await page.getByRole('button', { name: 'Save lot' }).click();
	await expect(page.getByRole('heading', { level: 1, name: 'Half a lot, whole' })).toBeVisible();
	await page.goto('/lots/new');
	await expect(name).toHaveValue('');
	await expect(back).toHaveCount(0);
});

test.describe('on a device that writes a decimal comma', () => {
	test.use({ locale: 'de-DE' });

	test('what is wrong with a number is told with a comma, at the top and at its field, and three decimals are taken', async ({
		page,
	}) => {
		await page.goto('/runs/new');
		await page.getByLabel('Stroke length').fill('0.05');
		await page.getByLabel('Gross weight').first().fill('4,125');
		await page.getByRole('button', { name: 'Start the run' }).click();
		await expect(page.getByText(/^The stroke length must lie between 0,1 and 200\smm\./)).toHaveCount(2);
		await expect(page.getByLabel('Stroke length')).toHaveValue('0.05');
		await expect(page.getByText(/can be read in two ways/)).toHaveCount(0);
		await openDemo(page);
		await page.getByRole('link', { name: 'Rerun the middlings?' }).click();
		await page.getByLabel('Stock wanted for a batch').fill('4,125');
		await page.getByRole('button', { name: 'Work it out' }).click();
		await page.waitForURL(/batchKg/);
		await expect(page.getByLabel('Stock wanted for a batch')).toHaveValue('4,125');
		await expect(page.getByText(/can be read in two ways/)).toHaveCount(0);
	});
});

test('a frame that breaks in the browser leaves a page that says so and comes back', async ({ page }) => {
	// the list of pages stands in the frame of every page; what it asks of an address breaks it, once
	await page.addInitScript(() => {
		const isMended = window.sessionStorage.getItem('mended') === 'yes';
		const startsWith = String.prototype.startsWith;
		if (isMended) return;
		String.prototype.startsWith = function broken(this: string, what: string, from?: number) {
			if (what === '/shared/') throw new Error('provoked');
			return startsWith.call(this, what, from);
		};
	});
	await page.goto('/mat');
	await expect(page.getByRole('heading', { level: 1, name: 'This page could not be shown' })).toBeVisible();
	await expect(page.getByText('Something broke in this browser')).toBeVisible();
	await expectAccessible(page);
	await page.evaluate(() => window.sessionStorage.setItem('mended', 'yes'));
	await page.getByRole('button', { name: 'Try again' }).click();
	await expect(page.getByRole('navigation', { name: 'Pages' })).toBeVisible();
});

test('what is entered is of the day it is where the person is, and a check line far off is asked about', async ({
	browser,
	baseURL,
}) => {
	// somewhere it is always another day than at Greenwich: eleven hours behind it in its morning, fourteen ahead after that
	const timezoneId = new Date().getUTCHours() < 10 ? 'Pacific/Pago_Pago' : 'Pacific/Kiritimati';
	const context = await browser.newContext({ baseURL: baseURL!, timezoneId, locale: 'en-GB' });
	const page = await context.newPage();
	const told = page.waitForResponse((answer) => answer.url().includes('/api/zone'));
	await page.goto('/mat');
	await told;
	await page.getByLabel('Check line as measured').fill('140');
	await page.getByRole('button', { name: 'Save the check' }).click();
	await expect(page.getByRole('alert').getByText(/40\s% longer than drawn/)).toBeVisible();
	await expectAccessible(page);
	await page.getByLabel('The whole sheet came out that much larger or smaller').check();
	await page.getByLabel('Check line as measured').fill('100');
	await page.getByRole('button', { name: 'Save the check' }).click();
	const form = { timeZone: timezoneId, day: 'numeric', month: 'short', year: 'numeric' } as const;
	const today = new Intl.DateTimeFormat('en-GB', form).format(new Date());
	const measured = `line 100.0 mm, measured ${today}`.replace(/ (mm|[A-Z][a-z]{2} |\d{4}$)/g, '\u00a0$1');
	await expect(page.getByText(measured)).toHaveCount(1);
	// each size is printed on its own
	await expect(page.getByText('not checked yet: lengths are taken as drawn')).not.toHaveCount(0);
	await context.close();
});
