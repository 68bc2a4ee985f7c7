import { expect, type Locator, type Page, test } from '@playwright/test';
import sharp from 'sharp';
import { expectAccessible } from './axe';
import { READ_WITHIN_MS } from './readWithin';
import { startRun } from './startRun';

/** A photo of the demonstration run under its own name: read before with the same options, so not read twice. */
const PHOTO = 'demo-images/dev-run-conc1-tray1.jpg';
const TRAY_PHOTO = 'demo-images/dev-clean-stainless-led.jpg';
/** Longest that a photo waits until it is tried again, and a try itself, milliseconds. */
const LONGEST_WAIT_MS = 60_000;

test('a quick check: photo in, grade out, thrown away, brought back, kept in a run', async ({ page }, { project }) => {
	const run = `Kept on the ${project.name}`;
	await startRun(page, run);
	await page.getByRole('link', { name: 'Quick check' }).click();
	await expect(page.getByRole('heading', { level: 1, name: 'Quick check' })).toBeVisible();
	await expectAccessible(page);
	await page.getByLabel('Choose a photo').setInputFiles([PHOTO]);
	await expect(page.getByText(/^Copper (over )?\d+(\.\d+)?\s%/)).toBeVisible({ timeout: READ_WITHIN_MS });
	await expectAccessible(page);
	await page.getByRole('button', { name: 'Throw this check away' }).click();
	await page.getByRole('button', { name: 'Bring it back' }).click();
	await page.getByLabel('Which bin does it show?').selectOption(`${run}: Tailings`);
	await page.getByRole('button', { name: 'Keep it' }).click();
	await expect(page.getByRole('heading', { level: 1, name: 'Tailings' })).toBeVisible();
	await expect(page.getByRole('link', { name: 'Spread 1' })).toBeVisible();
});

test('a run at the table: shoot, see whether the picture serves, weigh, next bin', async ({ page }, { project }) => {
	await startRun(page, `Table on the ${project.name}`);
	await page.getByRole('link', { name: 'Work at the table' }).click();
	await expect(page.getByRole('heading', { level: 1, name: 'At the table' })).toBeVisible();
	await expectAccessible(page);
	await page.getByRole('link', { name: 'Next: Concentrate 1' }).click();
	// the page before says the same of photos on their way
	await expect(page.getByRole('heading', { level: 1, name: 'Photograph Concentrate 1' })).toBeVisible();
	// the room for photos on their way says that there are none, and is no gap beneath the menu
	const none = page.getByText('No photo waits to be sent.');
	await expect(none).toBeVisible();
	const boxes = await Promise.all(
		[page.getByRole('banner'), none, page.getByRole('link', { name: 'At the table' })].map((one) => one.boundingBox()),
	);
	const [menu, line, way] = boxes.map((box) => ({ top: box!.y, bottom: box!.y + box!.height }));
	expect(line!.top - menu!.bottom).toBeLessThan(20);
	expect(way!.top - line!.bottom).toBeLessThan(12);
	let letGo = () => {};
	const held = new Promise<void>((resolve) => {
		letGo = resolve;
	});
	await page.route('**/api/photos/*?*', async (route) => {
		await held;
		await route.continue();
	});
	await page.getByLabel('Choose from this device').setInputFiles([PHOTO]);
	await expect(page.getByText('Good picture')).toBeVisible();
	// nothing moves under the finger when the photo is sent and read
	await expect(page.getByText('1 photo not sent yet')).toBeVisible();
	await expect(page.getByRole('progressbar', { name: 'This photo sent' })).toBeVisible();
	const wayOn = page.getByRole('link', { name: 'Weigh this bin' });
	const before = await wayOn.boundingBox();
	letGo();
	await expect(page.getByText(/photos? not sent yet/)).toHaveCount(0);
	expect(await wayOn.boundingBox()).toEqual(before);
	await expect(page.getByAltText('The photo with the mat as it was found')).toBeVisible();
	await expectAccessible(page);
	// again: the first one is kept and no longer counted
	await page.getByLabel('Take it again').setInputFiles(['demo-images/dev-run-conc1-tray2.jpg']);
	await expect(page.getByText('1 spread so far.')).toBeVisible();
	await expect(page.getByText(/photos? not sent yet/)).toHaveCount(0);
	await page.getByRole('link', { name: 'Weigh this bin' }).click();
	await page.getByLabel('Gross weight').fill('3,1');
	await page.getByLabel('Tare').fill('0,4');
	// what leaves a wet deck counts as dry only when that is said
	await page.getByRole('button', { name: 'Save, then Concentrate 2' }).click();
	await page.getByRole('alert').getByRole('link', { name: 'Say whether it was wet or dry when weighed' }).click();
	await expect(page.getByRole('radio', { name: 'Wet: allow for its water' })).toBeFocused();
	await expectAccessible(page);
	await page.getByRole('radio', { name: 'Dry', exact: true }).check();
	await page.getByRole('button', { name: 'Save, then Concentrate 2' }).click();
	await expect(page.getByRole('heading', { level: 1, name: 'Photograph Concentrate 2' })).toBeVisible();
	await page.getByRole('link', { name: 'At the table' }).click();
	await expect(page.getByRole('link', { name: /^Concentrate 1 Done 1 spread photographed\. Weighed/ })).toBeVisible();
	// the next weighing asks for the gross weight, and again for wet or dry
	await page.getByRole('link', { name: 'Next: Concentrate 2' }).click();
	await page.getByRole('link', { name: 'Go on without a photo' }).click();
	await expect(page.getByLabel('Tare')).toHaveValue('0,4');
	await expect(page.getByLabel('Gross weight')).toHaveValue('');
	await expect(page.getByRole('radio', { checked: true })).toHaveCount(0);
});

test('a photo whose sending breaks off outlives the page, is sent once, and shows on the laptop at once', async ({
	page: laptop,
	context,
}, { project }) => {
	await startRun(laptop, `Weak link on the ${project.name}`);
	await laptop.getByRole('link', { name: /^Middlings/ }).click();
	await expect(laptop.getByRole('heading', { level: 1, name: 'Middlings' })).toBeVisible();
	const address = laptop.url();
	const phone = await context.newPage();
	let tries = 0;
	await context.route('**/api/photos/*?*', (route) => {
		tries++;
		return route.abort('connectionreset');
	});
	await phone.goto(address);
	await phone.getByLabel('Choose photos').setInputFiles([PHOTO]);
	// chosen twice by a hasty thumb
	await phone.getByLabel('Choose photos').setInputFiles([PHOTO]);
	await expect(phone.getByText('1 photo not sent yet')).toBeVisible();
	await phone.close();
	const again = await context.newPage();
	await again.goto('/cautions');
	await expect(again.getByText('1 photo not sent yet')).toBeVisible();
	await expect(again.getByRole('button', { name: 'Send now' })).toBeVisible();
	await expectAccessible(again);
	const before = tries;
	await again.getByRole('button', { name: 'Send now' }).click();
	await expect.poll(() => tries).toBeGreaterThan(before);
	// with the link back it goes by itself
	await context.unroute('**/api/photos/*?*');
	await expect(again.getByText('1 photo not sent yet')).toHaveCount(0, { timeout: LONGEST_WAIT_MS });
	// nobody touched the laptop meanwhile
	await expect(laptop.getByRole('link', { name: 'Spread 1' })).toBeVisible();
	await expect(laptop.getByRole('link', { name: 'Spread 2' })).toHaveCount(0);
	await laptop.bringToFront();
	await expect(laptop.getByText(/^Copper (over )?\d+(\.\d+)?\s%/).first()).toBeVisible({ timeout: READ_WITHIN_MS });
});

test('at the table, what is not taken in is said at once and is no spread, nor does it replace the shot before it', async ({
	page,
}, { project }) => {
	await startRun(page, `Odd files on the ${project.name}`);
	await page.getByRole('link', { name: 'Work at the table' }).click();
	await page.getByRole('link', { name: 'Next: Concentrate 1' }).click();
	const words = { name: 'words.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('no picture') };
	await page.getByLabel('Take a photo').setInputFiles([words]);
	const refusal = page.getByRole('alert').getByText('The file is of an unknown kind');
	await expect(refusal).toBeVisible();
	await expect(page.getByText('No spread photographed yet.')).toBeVisible();
	await page.getByLabel('Take a photo').setInputFiles([PHOTO]);
	await expect(page.getByText('Good picture')).toBeVisible();
	await expect(refusal).toHaveCount(0);
	await page.getByLabel('Take it again').setInputFiles([words]);
	await expect(refusal).toBeVisible();
	await expect(page.getByText('Good picture')).toBeVisible();
	await expect(page.getByText('1 spread so far.')).toBeVisible();
	// the same shot again after the page was closed by the camera
	await page.reload();
	await page.getByLabel('Take a photo').setInputFiles([PHOTO]);
	await expect(page.getByText('Good picture')).toBeVisible();
	await expect(page.getByText(/photos? not sent yet/)).toHaveCount(0);
	await expect(page.getByText('1 spread so far.')).toBeVisible();
	// the laptop had it already, under an earlier id: that one is set aside
	await page.getByLabel('Take it again').setInputFiles(['demo-images/dev-run-conc1-tray2.jpg']);
	await expect(page.getByText(/photos? not sent yet/)).toHaveCount(0);
	await expect(page.getByText('1 spread so far.')).toBeVisible();
	await page.goto(page.url().replace('/table/', '/products/'));
	await expect(page.getByText('Kept, not counted: it was taken again or left out.')).toBeVisible();
	await expect(page.getByRole('link', { name: 'Spread 2' })).toHaveCount(0);
});

test('a photo that cannot be read is told where it can be taken again, and its bin is not called photographed', async ({
	page,
}, { project }) => {
	await startRun(page, `Not read on the ${project.name}`);
	await page.getByRole('link', { name: 'Work at the table' }).click();
	await page.getByRole('link', { name: 'Next: Concentrate 1' }).click();
	await page.getByLabel('Take a photo').setInputFiles([TRAY_PHOTO]);
	const notRead = page.getByRole('alert').getByText('A photo of this bin could not be read.');
	await expect(notRead).toBeVisible({ timeout: READ_WITHIN_MS });
	await expect(page.getByText('No spread counts yet.')).toBeVisible();
	// told once, not beside the shot again
	await expect(page.getByText(/None of the mat's four corner marks/)).toHaveCount(1);
	await expect(page.locator('.main-action').getByText('Take it again')).toBeVisible();
	await expectAccessible(page);
	await page.getByRole('link', { name: 'At the table' }).click();
	await page.getByRole('link', { name: 'Concentrate 1 Photo not read 1 photo could not be read. Not weighed' }).click();
	await expect(notRead).toBeVisible();
	// what is of no use is left out, and asks for nothing any more
	const bin = page.url();
	await page.getByRole('button', { name: 'Leave it out' }).click();
	await expect(notRead).toHaveCount(0);
	await expect(page.getByText('No spread photographed yet.')).toBeVisible();
	await page.goto(bin.replace('/table/', '/products/'));
	await page.getByRole('link', { name: 'Spread 1' }).click();
	await page.getByRole('button', { name: 'Count this photo too' }).click();
	await expect(page.getByText(/The spread mat was not found/)).toBeVisible({ timeout: READ_WITHIN_MS });
	await page.goto(bin);
	await page.getByLabel('Take a photo').setInputFiles([PHOTO]);
	await expect(page.getByText('1 spread so far.')).toBeVisible();
	const way = page.getByRole('link', { name: 'See the photo, or set a tray\u2019s corners' });
	await way.click();
	await page.getByLabel('What the spread lies on').selectOption('tray');
	await expect(page.getByText(/The tray's rim suggests these corners/)).toBeVisible();
	await page.getByLabel('Inner width of the tray').fill('200');
	await page.getByLabel('Inner height of the tray').fill('140');
	await page.getByRole('button', { name: 'Read it this way' }).click();
	await expect(page.getByText(/Waits to be read|Is being read|Plain tray/).first()).toBeVisible();
});

test('with the link cut a shot is looked at, and a weight stays typed until it is saved', async ({ page, context }, {
	project,
}) => {
	await startRun(page, `No link on the ${project.name}`);
	await page.getByRole('link', { name: 'Work at the table' }).click();
	const looks = page.waitForEvent('worker');
	await page.getByRole('link', { name: 'Next: Concentrate 1' }).click();
	await (await looks).waitForEvent('close');
	await context.setOffline(true);
	await page.getByLabel('Take a photo').setInputFiles([PHOTO]);
	await expect(page.getByText('Good picture')).toBeVisible();
	// the way on leads nowhere now: the page stays instead of the browser's own about a lost connection
	await page.getByRole('link', { name: 'Weigh this bin' }).click();
	const stays = page.getByRole('alert').getByText('The laptop does not answer, so this page stays.');
	await expect(stays).toBeVisible();
	await expectAccessible(page);
	await expect(page.getByText('Good picture')).toBeVisible();
	await page.getByRole('button', { name: 'Stay here' }).click();
	await expect(stays).toHaveCount(0);
	await page.getByRole('link', { name: 'Weigh this bin' }).click();
	await expect(stays).toBeVisible();
	await context.setOffline(false);
	await expect(page.getByText(/photos? not sent yet/)).toHaveCount(0, { timeout: LONGEST_WAIT_MS });
	await page.getByRole('button', { name: 'Try again' }).click();
	await page.getByLabel('Gross weight').fill('3,1');
	await page.getByRole('radio', { name: 'Dry', exact: true }).check();
	// typed after a link was followed, and found again when the page is loaded as a whole
	await page.reload();
	await expect(page.getByLabel('Gross weight')).toHaveValue('3,1');
	await context.setOffline(true);
	await page.getByRole('button', { name: 'Save, then Concentrate 2' }).click();
	await expect(
		page.getByRole('alert').getByText('The laptop does not answer. What you typed stays here'),
	).toBeVisible();
	await expect(page.getByLabel('Gross weight')).toHaveValue('3,1');
	await context.setOffline(false);
	await page.getByRole('button', { name: 'Save, then Concentrate 2' }).click();
	await expect(page.getByRole('heading', { level: 1, name: 'Photograph Concentrate 2' })).toBeVisible();
	await page.getByRole('link', { name: 'At the table' }).click();
	await expect(page.getByRole('link', { name: /^Concentrate 1 Done 1 spread photographed\. Weighed/ })).toBeVisible();
});

test('a file is left to the browser while nobody answers, and the page stays as it is', async ({ page, context }, {
	project,
}) => {
	await startRun(page, `Files on the ${project.name}`);
	const file = page.getByRole('link', { name: 'Save the run as a file' });
	const stays = page.getByText('The laptop does not answer, so this page stays.');
	const saved = page.waitForEvent('download');
	await file.click();
	expect((await saved).suggestedFilename()).toMatch(/\.json$/);
	// the link is cut, and a tap on a page's link shows that the page knows
	await context.setOffline(true);
	await page.getByRole('link', { name: 'Work at the table' }).click();
	await expect(stays).toBeVisible();
	await page.getByRole('button', { name: 'Stay here' }).click();
	await expect(stays).toHaveCount(0);
	// the tap comes through to the end, for the browser to act on
	const left = page.evaluate(
		() =>
			new Promise<boolean>((resolve) => {
				window.addEventListener('click', ({ defaultPrevented }) => resolve(!defaultPrevented), { once: true });
			}),
	);
	await file.click();
	expect(await left).toBe(true);
	await expect(page.getByRole('heading', { level: 1, name: `Files on the ${project.name}` })).toBeVisible();
	await expect(stays).toHaveCount(0);
	await context.setOffline(false);
	// a form whose answer is a page keeps its page too, and goes on once somebody answers
	await page.getByRole('link', { name: 'Rerun the middlings?' }).click();
	await page.getByLabel(/^Stock wanted/).fill('12');
	await context.setOffline(true);
	await page.getByRole('button', { name: 'Work it out' }).click();
	await expect(stays).toBeVisible();
	await expect(page.getByLabel(/^Stock wanted/)).toHaveValue('12');
	await context.setOffline(false);
	await page.getByRole('button', { name: 'Try again' }).click();
	await expect(page).toHaveURL(/\/rerun\?.*=12/);
	await expect(stays).toHaveCount(0);
});

test('the size of a tray is asked once a run', async ({ page }, { project }) => {
	await startRun(page, `One tray on the ${project.name}`);
	const surface = page.getByLabel('What the spread lies on');
	const [width, height] = ['Inner width of the tray', 'Inner height of the tray'].map((name) => page.getByLabel(name));
	const told = page.getByText('The size is that of the tray set last in this run.');
	const openSpread = async (bin: string) => {
		await page.getByRole('link', { name: new RegExp(`^${bin}`) }).click();
		await page.getByLabel('Choose photos').setInputFiles([TRAY_PHOTO]);
		await page.getByRole('link', { name: 'Spread 1' }).click();
		await expect(page.getByText(/The spread mat was not found/)).toBeVisible({ timeout: READ_WITHIN_MS });
		await surface.selectOption('tray');
	};
	await openSpread('Concentrate 1');
	await expect(width!).toHaveValue('');
	await expect(told).toHaveCount(0);
	await expect(page.getByText(/The tray's rim suggests these corners/)).toBeVisible();
	await width!.fill('200');
	await height!.fill('140');
	await page.getByRole('button', { name: 'Read it this way' }).click();
	await expect(page.getByText(/The spread mat was not found/)).toHaveCount(0);
	// on the next bin the same tray is not asked for again
	await page.getByRole('link', { name: /^One tray on the/ }).click();
	await openSpread('Concentrate 2');
	await expect(width!).toHaveValue('200');
	await expect(height!).toHaveValue('140');
	await expect(told).toBeVisible();
	await expectAccessible(page);
});

test('a photo whose bin was removed meanwhile can be sent as a quick check', async ({ page, context }, { project }) => {
	await startRun(page, `Bin gone on the ${project.name}`);
	await page.getByRole('link', { name: /^Tailings/ }).click();
	await expect(page.getByRole('heading', { level: 1, name: 'Tailings' })).toBeVisible();
	const phone = await context.newPage();
	await context.route('**/api/photos/*?*', (route) => route.abort('connectionreset'));
	await phone.goto(page.url());
	await phone.getByLabel('Choose photos').setInputFiles([PHOTO]);
	await expect(phone.getByText('1 photo not sent yet')).toBeVisible();
	await page.getByRole('link', { name: 'Change name or kind, or remove' }).click();
	await page.getByRole('button', { name: 'Remove this product' }).click();
	await expect(page.getByText('The product was removed.')).toBeVisible();
	await phone.close();
	await context.unroute('**/api/photos/*?*');
	const again = await context.newPage();
	await again.goto('/quick');
	await again.getByText('1 photo was not taken in').click();
	await expect(again.getByText(/The bin or run that it was taken for was removed/)).toBeVisible();
	await expectAccessible(again);
	await again.getByRole('button', { name: 'Send as a quick check' }).click();
	await expect(again.getByText('1 photo was not taken in')).toHaveCount(0);
	await again.getByRole('link', { name: /dev-run-conc1-tray1/ }).click();
	await expect(again.getByText(/^Copper (over )?\d+(\.\d+)?\s%/)).toBeVisible({ timeout: READ_WITHIN_MS });
	await again.getByRole('button', { name: 'Throw this check away' }).click();
	await expect(again.getByText('The quick check was thrown away.')).toBeVisible();
});

test('a page in view stays while nobody answers, and is brought up to date afterwards', async ({
	page: laptop,
	context,
}, { project }) => {
	await startRun(laptop, `No answer on the ${project.name}`);
	await laptop.getByRole('link', { name: /^Middlings/ }).click();
	await expect(laptop.getByRole('heading', { level: 1, name: 'Middlings' })).toBeVisible();
	const phone = await context.newPage();
	await phone.goto(laptop.url());
	// cut before it is asked whether anybody answers, and between that and the page
	for (const [spread, photo, cuts] of [
		['Spread 1', 'demo-images/dev-run-middlings-tray1.jpg', ({ pathname }: URL) => pathname !== '/api/events'],
		['Spread 2', 'demo-images/dev-run-middlings-tray2.jpg', ({ pathname }: URL) => !pathname.startsWith('/api/')],
	] as const) {
		await laptop.route(cuts, (route) => route.abort('connectionrefused'));
		const refused = laptop.waitForEvent('requestfailed');
		await phone.getByLabel('Choose photos').setInputFiles([photo]);
		await expect(phone.getByRole('link', { name: spread })).toBeVisible();
		await laptop.bringToFront();
		await refused;
		await laptop.unrouteAll();
		await expect(laptop.getByRole('link', { name: spread })).toBeVisible();
		await phone.bringToFront();
	}
});

test('reading is stopped half-way and the photo kept; the next one is read all the same', async ({ page }) => {
	await page.goto('/quick');
	// so large that it is still being read when the button is found
	const buffer = await sharp('demo-images/dev-run-middlings-tray2.jpg').resize({ width: 6000 }).jpeg().toBuffer();
	await page.getByLabel('Choose a photo').setInputFiles({ name: 'stopped.jpg', mimeType: 'image/jpeg', buffer });
	await expect(page.getByRole('heading', { level: 1, name: 'Quick check: stopped.jpg' })).toBeVisible();
	await page.getByRole('button', { name: 'Stop reading' }).click();
	await expect(page.getByRole('button', { name: 'Go on reading' })).toBeVisible();
	await expect(page.getByText('Kept, not read: its reading was stopped.')).toBeVisible();
	await expectAccessible(page);
	await page.getByRole('button', { name: 'Throw this check away' }).click();
	await page.getByLabel('Choose a photo').setInputFiles([TRAY_PHOTO]);
	await expect(page.getByText(/The spread mat was not found/)).toBeVisible({ timeout: READ_WITHIN_MS });
	await page.getByRole('button', { name: 'Throw this check away' }).click();
	await expect(page.getByText('The quick check was thrown away.')).toBeVisible();
});

test('corners of a plain tray are proposed from its rim and moved by touch', async ({ page }, { project }) => {
	await page.goto('/quick');
	await page.getByLabel('Choose a photo').setInputFiles([TRAY_PHOTO]);
	await expect(page.getByText(/The spread mat was not found/)).toBeVisible({ timeout: READ_WITHIN_MS });
	// whoever is told that no mat was found sees the picture that it was sought on
	await expect(page.getByRole('figure').getByRole('img').first()).toBeVisible();
	await page.getByLabel('What the spread lies on').selectOption('tray');
	await expect(page.getByText(/The tray's rim suggests these corners/)).toBeVisible();
	const handle = page.getByRole('button', { name: /^Corner 1, top-left/ });
	await handle.scrollIntoViewIfNeeded();
	const before = await placeOf(handle);
	const box = (await handle.boundingBox())!;
	const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
	if (project.name === 'phone') await dragByTouch(page, [x, y], [x + 30, y + 20]);
	else await dragByMouse(page, [x, y], [x + 30, y + 20]);
	const after = await placeOf(handle);
	expect(after[0]).toBeGreaterThan(before[0] + 30);
	expect(after[1]).toBeGreaterThan(before[1] + 20);
	await expectAccessible(page);
	await page.getByRole('button', { name: 'Throw this check away' }).click();
	await expect(page.getByText('The quick check was thrown away.')).toBeVisible();
});

test('a run is entered by keyboard alone', async ({ page }) => {
	await page.goto('/lots/new');
	await type(page, page.getByLabel('Name of the lot'), 'Keys');
	await press(page, page.getByRole('button', { name: 'Save lot' }));
	await press(page, page.getByRole('link', { name: 'Start a run from this lot' }));
	await type(page, page.getByLabel('Name of the run'), 'By keys');
	await type(page, page.getByLabel('Gross weight').first(), '6,02');
	await sayDry(page);
	await press(page, page.getByRole('button', { name: 'Start the run' }));
	await expect(page.getByRole('heading', { level: 1, name: 'By keys' })).toBeVisible();
	await press(page, page.getByRole('link', { name: 'Work at the table' }));
	await press(page, page.getByRole('link', { name: 'Next: Concentrate 1' }));
	// the camera's button is reached and shows that it has the focus
	await tabTo(page, page.getByLabel('Take a photo'));
	await press(page, page.getByRole('link', { name: 'Go on without a photo' }), 'Shift+Tab');
	await type(page, page.getByLabel('Gross weight'), '3.1');
	await sayDry(page);
	await press(page, page.getByRole('button', { name: 'Save, then Concentrate 2' }));
	await expect(page.getByRole('heading', { level: 1, name: 'Photograph Concentrate 2' })).toBeVisible();
});

test("the run's page needs under 200 kB of script, and no model", async ({ browser, baseURL }) => {
	const fresh = await browser.newContext({ baseURL: baseURL! });
	const page = await fresh.newPage();
	await page.goto('/runs');
	await page.getByRole('link', { name: /^Demonstration run/ }).click();
	await expect(page.getByRole('heading', { level: 1, name: 'Demonstration run' })).toBeVisible();
	const address = page.url();
	await fresh.close();
	const first = await browser.newContext({ baseURL: baseURL! });
	const visit = await first.newPage();
	const scripts: Promise<{ readonly url: string; readonly bytes: number }>[] = [];
	const asked: string[] = [];
	visit.on('requestfinished', (request) => {
		asked.push(request.url());
		if (request.resourceType() !== 'script') return;
		scripts.push(request.sizes().then(({ responseBodySize }) => ({ url: request.url(), bytes: responseBodySize })));
	});
	await visit.goto(address);
	await expect(visit.getByText(/Copper recovered in the concentrates/)).toBeVisible({ timeout: READ_WITHIN_MS });
	const sizes = await Promise.all(scripts);
	expect(sizes.length).toBeGreaterThan(3);
	expect(sizes.reduce((sum, { bytes }) => sum + bytes, 0)).toBeLessThan(200_000);
	expect(asked.filter((url) => /tfjs|\.wasm|pixelModel|shotWorker/.test(url))).toEqual([]);
	await first.close();
});

async function placeOf(handle: Locator): Promise<readonly [number, number]> {
	const label = (await handle.getAttribute('aria-label')) ?? '';
	const [, x, y] = /x ([\d.]+), y ([\d.]+)/.exec(label) ?? [];
	return [Number(x), Number(y)];
}

type Place = readonly [number, number];

async function dragByTouch(page: Page, from: Place, to: Place): Promise<void> {
	const hand = await page.context().newCDPSession(page);
	const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', at: readonly Place[]) =>
		hand.send('Input.dispatchTouchEvent', { type, touchPoints: at.map(([x, y]) => ({ x, y })) });
	await touch('touchStart', [from]);
	for (const share of [0.25, 0.5, 0.75, 1]) {
		await touch('touchMove', [[from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])]]);
	}
	await touch('touchEnd', []);
}

async function dragByMouse(page: Page, from: Place, to: Place): Promise<void> {
	await page.mouse.move(...from);
	await page.mouse.down();
	await page.mouse.move(...to, { steps: 4 });
	await page.mouse.up();
}

/** Tab on until the control has the focus: no mouse, and no more presses than a page has controls. */
async function tabTo(page: Page, control: Locator, key = 'Tab'): Promise<void> {
	await expect(control).toBeVisible();
	for (let presses = 0; presses < 120; presses++) {
		if (await control.evaluate((element) => element === document.activeElement)) return;
		await page.keyboard.press(key);
	}
	throw new Error(`The keyboard does not lead to ${control}.`);
}

/** The last of the ways to say how wet it was, by the arrows. */
async function sayDry(page: Page): Promise<void> {
	await tabTo(page, page.getByRole('radio', { name: 'Wet: allow for its water' }));
	await page.keyboard.press('ArrowUp');
	await expect(page.getByRole('radio', { name: 'Dry', exact: true })).toBeChecked();
}

async function type(page: Page, control: Locator, text: string): Promise<void> {
	await tabTo(page, control);
	await page.keyboard.press('ControlOrMeta+a');
	await page.keyboard.type(text);
}

async function press(page: Page, control: Locator, key = 'Tab'): Promise<void> {
	await tabTo(page, control, key);
	await page.keyboard.press('Enter');
}
