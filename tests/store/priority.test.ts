import { execFileSync } from 'node:child_process';
import { getPriority } from 'node:os';
import { expect, it } from 'vitest';
import { NICE, yieldToPages } from '@/lib/store/priority';

const SCRIPT = `
	import { readdirSync } from 'node:fs';
	import { getPriority } from 'node:os';
	import { letEngineYield } from './lib/store/priority.ts';
	letEngineYield();
	const threads = process.platform === 'linux' ? readdirSync('/proc/self/task').map(Number) : [process.pid];
	console.log(JSON.stringify([process.pid, ...threads].map((id) => getPriority(id))));
`;

it('lets the five threads that compile and collect for all others yield to the one that answers, and no others', () => {
	const given = ['--import', 'tsx', '--input-type=module', '--eval', SCRIPT];
	const [main, ...all]: number[] = JSON.parse(execFileSync(process.execPath, given, { encoding: 'utf8' }));
	const own = getPriority(process.pid);
	expect(main).toBe(own);
	const yielding = process.platform === 'linux' ? Array(5).fill(own + NICE.photos) : [];
	expect(all.sort((a, b) => a - b)).toEqual([...Array(all.length - yielding.length).fill(own), ...yielding]);
});

it('asks nothing of a thread that has ended', () => {
	// beyond the highest number that Linux gives
	expect(() => yieldToPages(NICE.photos, 2 ** 22 + 1)).not.toThrow();
});
