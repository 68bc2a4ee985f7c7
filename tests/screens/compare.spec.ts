import { readFileSync } from 'node:fs';
import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { openDemo } from './openDemo';
import { READ_WITHIN_MS } from './readWithin';

// the demonstration's photos may still be read when this file's turn comes
test.setTimeout(560_000);

/** A run of its own lot with a weighed feed and two weighed bins, no photos. */
async function weighedRun(page: Page, name: string, lot: string | undefined, tailings: string, slope: string) {
	if (lot === undefined) {
		await page.goto('/lots/new');
		await page.getByLabel('Name of the lot').fill(`Lot of ${name}`);
		await page.getByRole('button', { name: 'Save lot' }).click();
	} else {
		await page.goto(lot);
	}
	await expect(page.getByRole('link', { name: 'Start a run from this lot' })).toBeVisible();
	const lotAddress = page.url();
	await page.getByRole('link', { name: 'Start a run from this lot' }).click();
	await page.getByLabel('Name of the run').fill(name);
	await page.getByLabel('Deck slope, across').fill(slope);
	await page.getByRole('button', { name: 'Start the run' }).click();
	await expect(page.getByRole('heading', { level: 1, name })).toBeVisible();
	const address = page.url();
	for (const [bin, gross] of [
		['Concentrate 1', '4.30'],
		['Concentrate 2', '1.00'],
		['Middlings', '0.50'],
		['Tailings', tailings],
	] as const) {
		await page.goto(address);
		await page.getByRole('link', { name: new RegExp(`^${bin}`) }).click();
		await page.getByRole('link', { name: 'Weigh', exact: true }).click();
		await page.getByLabel('Gross weight').fill(gross);
		await page.getByRole('radio', { name: 'Dry', exact: true }).check();
		await page.getByRole('button', { name: 'Save weight' }).click();
		await expect(page.getByText(/^Weighed: /)).toBeVisible();
	}
	return { address, lotAddress };
}

async function openReadDemo(page: Page): Promise<void> {
	await openDemo(page);
	await expect(page.getByRole('progressbar')).toHaveCount(0, { timeout: READ_WITHIN_MS });
}

test('two runs are set against each other: settings, differences, and what can not be said', async ({ page }, {
	project,
}) => {
	const names = [`First on the ${project.name}`, `Second on the ${project.name}`] as const;
	const { lotAddress } = await weighedRun(page, names[0], undefined, '4.00', '4,5');
	const { address } = await weighedRun(page, names[1], lotAddress, '5.00', '6');
	await page.goto(address);
	await page.getByRole('link', { name: 'Compare runs' }).click();
	await expect(page.getByRole('heading', { level: 1, name: 'Compare runs' })).toBeVisible();
	await expectAccessible(page);
	for (const name of names) await page.getByLabel(new RegExp(`^${name}`)).check();
	await page.getByRole('button', { name: 'Compare these runs' }).click();
	await expect(page.getByText(/Copper recovered by .+ can't be compared\./)).toBeVisible();
	await expect(
		page.getByText(/has no copper grade of .+: its recoveries can't be compared; yields still can/).first(),
	).toBeVisible();
	await expect(page.getByRole('row', { name: /Deck slope, across/ })).toContainText('changed');
	await page.getByText('All other figures').click();
	await expect(page.getByRole('row', { name: /Concentrates: yield/ })).toContainText('clear');
	await expectAccessible(page);
	const [file] = await Promise.all([
		page.waitForEvent('download'),
		page.getByRole('link', { name: 'Save as a table (CSV)' }).click(),
	]);
	expect(readFileSync(await file.path(), 'utf8')).toContain('Concentrates: yield');
	// what has no room is told, not left out
	await page.goto(`/compare?${[1, 2, 3, 4, 5, 6, 7].map((run) => `run=${run}`).join('&')}`);
	await expect(page.getByText('At most 6 runs stand side by side, and 7 were picked.')).toBeVisible();
});

test('the demonstration run is drawn as a flow, by mass and by copper', async ({ page }) => {
	await openReadDemo(page);
	await page.getByRole('link', { name: 'Flow from feed to bins' }).click();
	await expect(page.getByRole('img', { name: /^Dry mass from feed to bins/ })).toBeVisible();
	await expectAccessible(page);
	await page.getByRole('link', { name: 'Copper', exact: true }).click();
	await expect(page.getByRole('img', { name: /^Copper from feed to bins/ })).toBeVisible();
	await expect(page.getByRole('table', { name: 'Copper in the bins' })).toContainText('Tailings');
	await expectAccessible(page);
});

test('prices are entered and the demonstration run is worth something; two currencies are refused', async ({
	page,
}) => {
	await openReadDemo(page);
	await page.getByRole('link', { name: 'What it is worth' }).click();
	await expect(page.getByText(/lb per short ton/)).toBeVisible();
	await page.getByRole('link', { name: /^(Enter|Change) prices$/ }).click();
	await page.getByLabel('Copper price').fill('4,00');
	await page.getByLabel('Day of the price').first().fill('2026-05-12');
	await page.getByLabel('Where the price is from').first().fill('invented');
	await page.getByLabel('Payable share').first().fill('80');
	await page.getByLabel('Freight (optional)').fill('40');
	await page.getByLabel('Labour').fill('120');
	await page.getByLabel('Currency of charges and costs').fill('EUR');
	await page.getByRole('button', { name: 'Save prices' }).click();
	await expect(page.locator('.summary')).toContainText('different currencies');
	await expectAccessible(page);
	await page.getByLabel('Currency of charges and costs').fill('usd');
	await page.getByRole('button', { name: 'Save prices' }).click();
	await expect(page.getByText(/Net margin per tonne of dry waste: USD/)).toBeVisible();
	await expect(page.getByText('from: invented')).toBeVisible();
	await expect(page.getByRole('table', { name: 'What moves the margin, largest first' })).toContainText('Copper price');
	await expectAccessible(page);
});

test('a rerun of the middlings is worked out, and shares beyond the whole are told', async ({ page }) => {
	await openReadDemo(page);
	await page.getByRole('link', { name: 'Rerun the middlings?' }).click();
	await expect(page.getByText(/At steady state the table carries 1\.\d+ times the fresh feed/)).toBeVisible();
	await expectAccessible(page);
	await page.getByLabel('The rerun splits like').selectOption('assumed');
	await page.getByLabel('Copper that goes to the concentrate, %').fill('70');
	await page.getByLabel('Copper that comes back as middlings, %').fill('40');
	await page.getByLabel('All the rest that goes to the concentrate, %').fill('1');
	await page.getByLabel('All the rest that comes back as middlings, %').fill('5');
	await page.getByRole('button', { name: 'Work it out' }).click();
	await expect(page.locator('.summary')).toContainText('make more than the whole');
	await expectAccessible(page);
});

test('what settings did and a plan of runs stand on one page, with the seed of the order', async ({ page }) => {
	await page.goto('/lots');
	await page
		.getByRole('link', { name: /^Lot of First on the/ })
		.first()
		.click();
	await expect(page.getByRole('heading', { name: 'Runs over time' })).toBeVisible();
	await expectAccessible(page);
	await page.getByRole('link', { name: 'What did a setting do?' }).click();
	await page.getByLabel('Deck slope, across, low level, degrees').fill('4');
	const high = page.getByLabel('Deck slope, across, high level, degrees');
	await high.fill('six');
	await page.getByRole('button', { name: 'Make the plan' }).click();
	// one slip is told once, at the top and at its field, and found by who can't see it
	await expect(page.locator('.summary')).toBeFocused();
	await expect(page.locator('.summary li')).toHaveText(/^The slope across "six" is not a number\./);
	await expect(high).toHaveAccessibleDescription(/is not a number/);
	await expectAccessible(page);
	await high.fill('4');
	await page.getByRole('button', { name: 'Make the plan' }).click();
	await expect(page.locator('.summary')).toContainText('same low and high level');
	await high.fill('6');
	await page.getByLabel('Wash water, low level, L/min').fill('8');
	await page.getByLabel('Wash water, high level, L/min').fill('12');
	await page.getByRole('button', { name: 'Make the plan' }).click();
	await expect(page.getByRole('table', { name: /^4 runs in this order, seed 1/ })).toContainText('Wash water, L/min');
	await expectAccessible(page);
	// on paper stands what was entered, without boxes and what was left empty
	await page.emulateMedia({ media: 'print' });
	await expect(high).toHaveCSS('border-top-width', '0px');
	await expect(high).toBeVisible();
	await expect(page.getByLabel('Stroke length, low level, mm')).toBeHidden();
});

test('a run saved as a file is taken in again, and a file that is no run is told', async ({ page }) => {
	await openReadDemo(page);
	const [file] = await Promise.all([
		page.waitForEvent('download'),
		page.getByRole('link', { name: 'Save the run as a file' }).click(),
	]);
	const saved = JSON.parse(readFileSync(await file.path(), 'utf8'));
	await page.goto('/runs');
	await page.getByRole('link', { name: 'Take in a run from a file' }).click();
	await expectAccessible(page);
	const take = async (content: string) => {
		const buffer = Buffer.from(content);
		await page.getByLabel('Run file').setInputFiles({ name: 'run.json', mimeType: 'application/json', buffer });
		await page.getByRole('button', { name: 'Take it in' }).click();
	};
	await take('{"deckside": "run/9"}');
	await expect(page.locator('.summary')).toContainText('not a run file');
	await take(
		JSON.stringify({ ...saved, name: 'Taken in again', settings: { ...saved.settings, firstAfterChange: true } }),
	);
	await expect(page.getByRole('heading', { level: 1, name: 'Taken in again' })).toBeVisible();
	await expect(page.getByText(/first run after a change/).first()).toBeVisible();
	await expectAccessible(page);
});
