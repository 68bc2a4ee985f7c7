import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { AnalysisPool } from '@/lib/store/analysisPool';
import { practiseLater, READINGS } from '@/lib/store/practice';

beforeEach(() => {
	vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
});
afterEach(() => {
	vi.useRealTimers();
});

/** A pool that writes down how its threads are to practise, and word of the last of it. */
function toldPool() {
	const told: string[] = [];
	let over = () => {};
	const isOver = new Promise<void>((resolve) => {
		over = resolve;
	});
	const practise: AnalysisPool['practise'] = async (bytes, { choice }, times) => {
		told.push(`${choice.method} ${times} ${bytes.length > 100_000 ? 'photo' : 'nothing'}`);
		if (choice.method === 'threshold') over();
	};
	return { practise, told, isOver };
}

test('threads practise some time after a start: once as photos are read, then by thresholds', async () => {
	const pool = toldPool();
	practiseLater(pool);
	expect(pool.told).toEqual([]);
	vi.runAllTimers();
	await pool.isOver;
	expect(pool.told).toEqual(['auto 1 photo', `threshold ${READINGS} photo`]);
});

test('a program that ends before it practises nothing', () => {
	const pool = toldPool();
	practiseLater(pool)();
	expect(vi.getTimerCount()).toBe(0);
});
