import { type BrowserContext, expect, test } from '@playwright/test';
import { type AppOnPostgres, startOnPostgres } from './appOnPostgres';
import { expectAccessible } from './axe';
import { READ_WITHIN_MS } from './readWithin';
import { startRun } from './startRun';

let server: AppOnPostgres;

test.beforeAll(async () => {
	server = await startOnPostgres({ whose: '*' });
});

test.afterAll(async () => {
	await server.stop();
});

function codesOf(said: string): { readonly phones: string; readonly office: string } {
	const [phones = '', office = ''] = said.match(/([A-Z2-9]{4}-){3}[A-Z2-9]{4}/g) ?? [];
	return { phones, office };
}

test('two yards on one server: each joins by its code, a photo is graded by the worker, and neither sees the other', async ({
	browser,
}) => {
	const north = codesOf(server.yard('add', 'north'));
	const south = codesOf(server.yard('add', 'south'));
	const open = () => browser.newContext({ baseURL: server.address, viewport: { width: 360, height: 740 } });
	const [ours, theirs] = [await open(), await open()];
	const join = async (context: BrowserContext, code: string) => {
		const page = await context.newPage();
		await page.goto(`/join#${code}`);
		await expect(page.getByRole('heading', { level: 1, name: 'Today' })).toBeVisible();
		return page;
	};

	await test.step('nothing is to be had without a code, at this machine either', async () => {
		const stranger = await ours.newPage();
		expect((await stranger.goto('/runs'))?.status()).toBe(403);
		await stranger.getByRole('link', { name: 'Type the code' }).click();
		await expect(stranger.getByRole('heading', { level: 1, name: 'Join your yard' })).toBeVisible();
		await expectAccessible(stranger);
		await stranger.getByLabel('Code').fill('AAAA-AAAA-AAAA-AAAA');
		await stranger.getByRole('button', { name: 'Join' }).click();
		await expect(stranger.getByRole('alert').filter({ hasText: 'This is not the code.' })).toBeVisible();
		await stranger.close();
	});

	const page = await join(ours, north.phones);
	const other = await join(theirs, south.office);
	await expect(page.getByText('Yard: north')).toBeVisible();

	const addresses: string[] = [];
	await test.step('a photo is kept by the instance and graded by the worker', async () => {
		await startRun(page, 'Run of the north');
		addresses.push(new URL(page.url()).pathname);
		await page.getByRole('link', { name: /^Concentrate 1/ }).click();
		await page.getByLabel('Choose photos').setInputFiles(['demo-images/dev-run-conc1-tray1.jpg']);
		await expect(page.getByText('is kept')).toBeVisible();
		await expect(page.getByText(/^Copper (over )?\d+(\.\d+)?\s%/).first()).toBeVisible({ timeout: READ_WITHIN_MS });
		addresses.push(new URL(page.url()).pathname);
		const picture = await page.locator('img[src*="/api/photos/"]').first().getAttribute('src');
		await page.getByRole('link', { name: 'Spread 1' }).click();
		await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
		addresses.push(new URL(page.url()).pathname, picture ?? '');
	});

	await test.step('the other yard, which has the addresses, finds nothing there', async () => {
		for (const address of addresses) {
			expect((await ours.request.get(address)).status(), address).toBe(200);
			const answer = await theirs.request.get(address);
			expect(answer.status(), address).toBe(404);
			expect(await answer.text()).not.toContain('Run of the north');
		}
	});

	await test.step('asked by both at once, each request is answered from its own yard', async () => {
		await startRun(other, 'Run of the south');
		const both = [ours, theirs].map((context, at) => ({ context, name: ['north', 'south'][at] ?? '' }));
		const asked = Array.from({ length: 40 }, (_, at) => both[at % 2]!);
		const texts = await Promise.all(asked.map(async ({ context }) => (await context.request.get('/runs')).text()));
		for (const [at, text] of texts.entries()) {
			const found = ['north', 'south'].filter((yard) => text.includes(`Run of the ${yard}`));
			expect(found).toEqual([asked[at]?.name]);
		}
	});

	await test.step('the office sees who has joined; a device that is forgotten is out at once', async () => {
		await other.goto('/devices');
		await expect(other.getByText(/the office, joined/)).toBeVisible();
		await expectAccessible(other);
		const [id = ''] = server.yard('devices', 'north').split(' ');
		const cut = page.waitForEvent('requestfailed', (request) => request.url().includes('/api/events'));
		server.yard('forget', 'north', id);
		await cut;
		expect((await ours.request.get('/runs')).status()).toBe(403);
		expect((await theirs.request.get('/runs')).status()).toBe(200);
	});
});
