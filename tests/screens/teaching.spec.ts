import { expect, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { openDemo } from './openDemo';

test('spots are taught by tapping, followed at once, undone, and kept under their name', async ({ page }) => {
	await openDemo(page);
	await page.getByRole('link', { name: /Tailings/ }).click();
	await page.getByRole('link', { name: 'Spread 1' }).click();
	await page.getByRole('link', { name: 'Teach what is what on this photo' }).click();
	const toPhoto = page.getByRole('button', { name: 'On to the photo' });
	await toPhoto.click();
	await expect(page.getByRole('heading', { name: 'Fix this to go on' })).toBeVisible();
	const name = `Taught ${test.info().project.name}`;
	await page.getByLabel(/^Name/).fill(name);
	await toPhoto.click();

	const words = page.locator('.piece-words');
	await expect(words).toContainText('Zoom in and tap');
	const stage = page.locator('.picture-stage canvas');
	const box = await stage.boundingBox();
	if (box === null) throw new Error('no stage');
	const untaught = await stage.screenshot();
	// the bare paper of the mat, above the spread
	await page.getByRole('button', { name: 'Bare surface' }).click();
	await stage.click({ position: { x: 0.5 * box.width, y: 0.16 * box.height } });
	await expect(page.getByText('1 spot: bare surface 1.')).toBeVisible();
	// what is unsure or contradicts itself is read out as well
	await expect(page.locator('[aria-live]').getByText('One spot teaches bare surface.', { exact: false })).toBeVisible();
	await page.getByRole('button', { name: 'Insulation', exact: true }).click();
	await stage.focus();
	await page.keyboard.press('Enter');
	await expect(page.getByText('2 spots: bare surface 1; insulation 1.')).toBeVisible();
	expect((await stage.screenshot()).equals(untaught)).toBe(false);

	// the model that grades photos runs in the browser as well; what failed is tried again when it is asked for again
	const taught = await stage.screenshot();
	const model = page.getByRole('button', { name: 'Show what the model sees' });
	await page.route('**/api/model/*', (route) => route.fulfill({ status: 404 }));
	await model.click();
	await expect(words).toContainText('files can’t be had now');
	await page.unrouteAll();
	await model.click();
	await expect(words).toContainText('Zoom in and tap');
	await model.click();
	await expect(words).toContainText('As the model reads this copy');
	expect((await stage.screenshot()).equals(taught)).toBe(false);
	await page.getByRole('button', { name: 'Show outlines' }).click();
	await expect(words).toContainText('Zoom in and tap');

	await page.getByRole('button', { name: 'Undo the last spot' }).click();
	await expect(page.getByText('1 spot: bare surface 1.')).toBeVisible();
	await page.getByRole('button', { name: 'Bring it back' }).click();
	await expect(page.getByText('2 spots: bare surface 1; insulation 1.')).toBeVisible();
	await page.getByRole('button', { name: 'Undo the last spot' }).click();
	await expect(page.getByText('1 spot: bare surface 1.')).toBeVisible();
	await expectAccessible(page);

	// a whole photo is one lesson, told with what it takes from the copper, and undone as one
	await page.getByText('The whole photo shows one thing').click();
	await page.getByRole('button', { name: 'It is clean insulation' }).click();
	await expect(page.getByText('All that lies here counts as insulation now.')).toBeInViewport();
	await page.getByRole('button', { name: 'Leave it out of Tailings' }).click();
	await expect(page.getByText('The photo is left out of Tailings: kept, not counted.')).toBeVisible();
	await expectAccessible(page);
	const teaching = page.url();
	await page.getByRole('link', { name: /^Photo / }).click();
	await page.getByRole('button', { name: 'Count this photo too' }).click();
	await expect(page.getByText(/Waits to be read|Is being read|Pieces counted/).first()).toBeVisible();
	await page.goto(teaching);
	await page.getByRole('button', { name: 'Undo what the whole photo taught' }).click();
	await expect(page.getByText('1 spot: bare surface 1.')).toBeVisible();

	// kept: the same page, opened anew, knows of the one that is left; the material is there to be chosen
	await expect.poll(() => page.reload().then(() => page.getByText('1 spot: bare surface 1.').count())).toBe(1);
	// a name that is typed holds, whatever is chosen beside it; one that is taken is told
	await page.goto(page.url().replace(/\?.*/, ''));
	await page.getByLabel(/^Name/).fill(name);
	await toPhoto.click();
	await expect(page.locator('.summary')).toContainText(`"${name}" is taught already.`);
	await page.getByLabel('Go on with').selectOption(name);
	await page.getByLabel(/^Name/).fill(`${name} anew`);
	await toPhoto.click();
	await expect(page.getByText('Nothing taught yet.')).toBeVisible();
	await page.goto('/materials');
	await expect(page.getByRole('heading', { name, exact: true })).toBeVisible();
	// what nothing is read with can be removed, and comes back
	const anew = page.getByRole('heading', { name: `${name} anew` });
	const remove = page.getByRole('button', { name: `Remove this material: ${name} anew` });
	await remove.click();
	await expect(anew).toHaveCount(0);
	await page.getByRole('button', { name: 'Bring it back' }).click();
	await expect(anew).toBeVisible();
	await remove.click();
	await expect(anew).toHaveCount(0);
});
