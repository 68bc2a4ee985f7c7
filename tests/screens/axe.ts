import { expect, type Page } from '@playwright/test';
import axe from 'axe-core';

/** No violation of WCAG 2.2 AA that a program can find, no sideways scrolling, one main heading. */
export async function expectAccessible(page: Page): Promise<void> {
  await expect(page.locator('h1')).toHaveCount(1);
  await page.evaluate(axe.source);
  const violations = await page.evaluate(async () => {
    const { axe: engine } = window as unknown as { axe: typeof import('axe-core') };
    const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
    const result = await engine.run(document, { runOnly: { type: 'tag', values: tags } });
    return result.violations.map(
      ({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html.slice(0, 120)).join(' | ')}`,
    );
  });
  expect(violations).toEqual([]);
  const sideways = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  expect(sideways).toBeLessThanOrEqual(0);
}
