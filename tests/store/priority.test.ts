import { execFileSync } from 'node:child_process';
import { getPriority } from 'node:os';
import { expect, it } from 'vitest';
import { NICE } from '@/lib/store/priority';

const SCRIPT = `
	import { readdirSync } from 'node:fs';
	import { getPriority } from 'node:os';
	import { letEngineYield } from './lib/store/priority.ts';
	letEngineYield();
	const threads = process.platform === 'linux' ? readdirSync('/proc/self/task').map(Number) : [process.pid];
	console.log(JSON.stringify({ main: process.pid, priorities: threads.map((id) => [id, getPriority(id)]) }));
`;

it('lets the five threads that compile and collect for all others yield to the one that answers, and no others', () => {
	const given = ['--import', 'tsx', '--input-type=module', '--eval', SCRIPT];
	const told = JSON.parse(execFileSync(process.execPath, given, { encoding: 'utf8' }));
	const priorities = new Map<number, number>(told.priorities);
	const own = getPriority(process.pid);
	expect(priorities.get(told.main)).toBe(own);
	const yielding = [...priorities.values()].filter((priority) => priority === own + NICE.photos);
	expect(yielding).toHaveLength(process.platform === 'linux' ? 5 : 0);
	expect([...priorities.values()].filter((priority) => priority === own)).toHaveLength(
		priorities.size - yielding.length,
	);
});
