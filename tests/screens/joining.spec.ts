import { expect, type Page, type Request, type Response, test } from '@playwright/test';
import jsQR from 'jsqr';
import sharp from 'sharp';
import { expectAccessible } from './axe';
import { type LanServer, startLanServer } from './lanServer';

let server: LanServer;

test.beforeAll(async () => {
	server = await startLanServer();
});

test.afterAll(async () => {
	await server.stop();
});

/** What a phone's camera reads off the laptop's screen. */
async function scan(page: Page): Promise<string> {
	const picture = await page.getByRole('img', { name: 'Code to scan with a phone' }).screenshot();
	const { data, info } = await sharp(picture).ensureAlpha().raw().toBuffer({ resolveWithObject: true });
	return jsQR(new Uint8ClampedArray(data), info.width, info.height)?.data ?? '';
}

/** A picture without a spread; of another width it is another picture. */
async function chooseGrey(page: Page, width: number): Promise<void> {
	const buffer = await sharp({ create: { width, height: 150, channels: 3, background: '#888' } })
		.jpeg()
		.toBuffer();
	const file = { name: `${width}.jpg`, mimeType: 'image/jpeg', buffer };
	await page.locator('input[type=file]').first().setInputFiles(file);
}

test('a phone is refused until it joins, joins by scanning, sends a picture, and is out once forgotten', async ({
	page,
	browser,
}) => {
	const phone = await browser.newContext({ viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true });
	const seen = await phone.newPage();
	const broken: string[] = [];
	for (const one of [page, seen]) {
		one.on('console', (said) => /Content Security Policy/.test(said.text()) && broken.push(said.text()));
	}

	await test.step('nothing is to be had without the code', async () => {
		const photo = `/api/photos/${server.runId}`;
		for (const path of ['/', `/runs/${server.runId}`, '/devices', '/api/ready', `${photo}/picture`, '/mat/A5']) {
			expect((await phone.request.get(server.network + path)).status(), path).toBe(403);
		}
		const sent = await phone.request.put(`${server.network}${photo}?product=${server.productId}`, { data: 'x' });
		expect(sent.status()).toBe(403);
		const answer = await seen.goto(`${server.network}/runs`);
		expect(answer?.status()).toBe(403);
		await expectAccessible(seen);
		await seen.getByRole('link', { name: 'Type the code' }).click();
		await expectAccessible(seen);
	});

	await test.step('a wrong code is told', async () => {
		await seen.getByLabel('Code').fill('AAAA-AAAA');
		await seen.getByRole('button', { name: 'Join' }).click();
		await expect(seen.getByRole('alert').filter({ hasText: 'This is not the code.' })).toBeVisible();
		await expect(seen.getByLabel('Code')).toBeFocused();
		expect((await phone.request.get(`${server.network}/runs`)).status()).toBe(403);
	});

	await test.step('the scanned code lets it in, and the laptop shows it at once', async () => {
		await page.goto(`${server.laptop}/devices`);
		await expect(page.getByText('No phone has joined yet.')).toBeVisible();
		await expectAccessible(page);
		const code = await scan(page);
		expect(code).toMatch(new RegExp(`^${server.network}/join#[A-Z2-9]{4}-[A-Z2-9]{4}$`));
		await seen.goto(code);
		await expect(seen.getByRole('heading', { level: 1, name: 'Today' })).toBeVisible();
		await expect(page.getByText(/^A device|Linux computer/)).toBeVisible();
		const [cookie] = await phone.cookies();
		expect(cookie).toMatchObject({ httpOnly: true, sameSite: 'Strict', domain: '127.0.0.2' });
		await seen.goto(`${server.network}/devices`);
		await expect(seen.getByRole('button', { name: 'Forget this device' })).toBeVisible();
		await expect(seen.getByRole('img', { name: 'Code to scan with a phone' })).toHaveCount(0);
	});

	await test.step('a picture taken on the phone lands in the run on the laptop', async () => {
		const product = `/runs/${server.runId}/products/${server.productId}`;
		await seen.goto(server.network + product);
		await chooseGrey(seen, 200);
		await page.goto(server.laptop + product);
		await expect(page.getByRole('link', { name: 'Spread 1' })).toBeVisible();
	});

	await test.step('forgotten on the laptop, it is out at once', async () => {
		await page.goto(`${server.laptop}/devices`);
		await page.getByText('Rename').click();
		await page.getByLabel('Name of the device').fill('Phone at the table');
		await page.getByRole('button', { name: 'Save name' }).click();
		await expect(page.getByText('Phone at the table', { exact: true })).toBeVisible();
		await expectAccessible(page);
		await page.getByRole('button', { name: 'Forget this device' }).click();
		await expect(page.getByText('No phone has joined yet.')).toBeVisible();
		await expect(seen.getByRole('heading', { level: 1, name: 'Concentrate 1' })).toBeVisible();
		// what it takes now waits, and says what it waits for
		await chooseGrey(seen, 210);
		await expect(seen.getByText(/The laptop does not know this device any more/)).toBeVisible();
		await expectAccessible(seen);
		const code = (await scan(page)).split('#')[1] ?? '';
		await seen.getByRole('link', { name: 'Join again' }).click();
		await seen.getByLabel('Code').fill(code);
		await seen.getByRole('button', { name: 'Join' }).click();
		await expect(seen.getByRole('heading', { level: 1, name: 'Today' })).toBeVisible();
		await expect(seen.getByText('1 photo not sent yet')).toHaveCount(0, { timeout: 60_000 });
		await page.reload();
		await seen.goto(`${server.network}/runs/${server.runId}/products/${server.productId}`);
		await seen.getByRole('link', { name: 'Spread 1' }).click();
		const removing = seen.getByRole('button', { name: 'Remove this photo' });
		await expect(removing).toBeVisible();
		// its page is being brought up to date just then, for a photo that the laptop takes in: the page in view stays all the same
		let forget = () => {};
		const forgotten = new Promise<void>((resolve) => {
			forget = resolve;
		});
		const product = new URL(seen.url()).pathname;
		await seen.route(
			({ pathname }) => pathname === product,
			async (route) => {
				await forgotten;
				await route.continue();
			},
		);
		const isOfPage = (request: Request) =>
			new URL(request.url()).pathname === product && request.headers().rsc !== undefined;
		const asked = seen.waitForRequest(isOfPage);
		await page.goto(`${server.laptop}/runs/${server.runId}/products/${server.productId}`);
		await chooseGrey(page, 205);
		await asked;
		await page.goto(`${server.laptop}/devices`);
		await page.getByRole('button', { name: 'Forget this device' }).click();
		await expect(page.getByText('No phone has joined yet.')).toBeVisible();
		const isRefused = (answer: Response) => answer.status() === 403 && isOfPage(answer.request());
		const refused = seen.waitForResponse(isRefused);
		forget();
		await refused;
		await seen.waitForResponse(isRefused);
		// a button that it still shows leads to joining, and has done nothing
		await removing.click();
		await expect(seen.getByText('The laptop does not know this device any more')).toBeVisible();
		await expectAccessible(seen);
		await seen.getByRole('link', { name: 'Join again' }).click();
		await expect(seen.getByLabel('Code')).toBeVisible();
		await page.goto(`${server.laptop}/runs/${server.runId}/products/${server.productId}`);
		await expect(page.getByRole('link', { name: 'Spread 1' })).toBeVisible();
		expect((await seen.goto(`${server.network}/runs`))?.status()).toBe(403);
	});

	expect(broken).toEqual([]);
	await phone.close();
});
