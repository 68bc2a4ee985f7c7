import { expect, type Locator, type Page } from '@playwright/test';
import axe from 'axe-core';

const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

/** No violation of WCAG 2.2 AA that a program can find, no sideways scrolling, one main heading. */
export async function expectAccessible(page: Page): Promise<void> {
	await expect(page.locator('h1')).toHaveCount(1);
	expect(await violationsOf(page, { type: 'tag', values: TAGS })).toEqual([]);
	// waited for, not taken at one instant: on the way from page to page the old title goes before the new one comes
	await expect(page).toHaveTitle(/\S/);
	await expectToFit(page);
}

/** No sideways scrolling: a phone's window grows with a page that is too wide, only the screen itself stays. */
async function expectToFit(page: Page): Promise<void> {
	const width = await page.evaluate(() => document.documentElement.scrollWidth);
	expect(width).toBeLessThanOrEqual(page.viewportSize()?.width ?? 0);
}

/** Nor where letters are set to twice their size, and then no word of the main heading, a label, a bin at the table or a caution is broken. */
export async function expectToFitTwiceAsLarge(page: Page): Promise<void> {
	const enlarge = (size: string) =>
		page.evaluate((to) => {
			document.documentElement.style.fontSize = to;
		}, size);
	await enlarge('200%');
	await expectToFit(page);
	expect(await brokenWordsOf(page.locator('h1, label, .bin, .caution p'))).toEqual([]);
	await enlarge('');
}

/** Words that stand on two lines and would not fill one. */
function brokenWordsOf(places: Locator): Promise<string[]> {
	return places.evaluateAll((elements) => {
		const broken: string[] = [];
		for (const element of elements) {
			const texts = document.createTreeWalker(element, NodeFilter.SHOW_TEXT);
			for (let text = texts.nextNode(); text !== null; text = texts.nextNode()) {
				for (const { 0: word, index } of (text.textContent ?? '').matchAll(/[\p{L}\p{N}]+/gu)) {
					const range = document.createRange();
					range.setStart(text, index);
					range.setEnd(text, index + word.length);
					const parts = [...range.getClientRects()];
					const lines = new Set(parts.map(({ top }) => Math.round(top))).size;
					if (lines > 1 && parts.reduce((sum, { width }) => sum + width, 0) < window.innerWidth) broken.push(word);
				}
			}
		}
		return broken;
	});
}

/** In the dark as well; only colours differ there. */
export async function expectLegibleInTheDark(page: Page): Promise<void> {
	await page.emulateMedia({ colorScheme: 'dark' });
	const ground = await page.evaluate(() => getComputedStyle(document.documentElement).backgroundColor);
	expect(ground).toBe('rgb(20, 23, 26)');
	expect(await violationsOf(page, { type: 'rule', values: ['color-contrast'] })).toEqual([]);
	await page.emulateMedia({ colorScheme: 'light' });
}

async function violationsOf(page: Page, runOnly: { type: 'tag' | 'rule'; values: string[] }): Promise<string[]> {
	await page.evaluate(axe.source);
	return page.evaluate(async (only) => {
		const { axe: engine } = window as unknown as { axe: typeof import('axe-core') };
		const result = await engine.run(document, { runOnly: only, rules: { 'document-title': { enabled: false } } });
		return result.violations.map(
			({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 120)).join(' | ')}`,
		);
	}, runOnly);
}
