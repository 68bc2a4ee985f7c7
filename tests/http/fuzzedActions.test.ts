import { randomUUID } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import fc from 'fast-check';
import { beforeEach, expect, test, vi } from 'vitest';
import { type FormState, FRESH_FORM } from '@/app/_forms/formState';
import { TrayError } from '@/lib/errors/TrayError';
import { startAnalysisQueue } from '@/lib/store/analysisQueue';
import { POOL_HERE } from '@/lib/store/poolHere';
import type { Running } from '@/lib/store/theStore';
import { storedRun, temporaryStore } from '../store/temporaryStore';

/** Thrown in the place of what the framework throws to lead elsewhere. */
const led = vi.hoisted(() => class Led extends Error {});
vi.mock('next/navigation', () => {
	const lead = (to?: string) => {
		throw new led(to);
	};
	return { redirect: lead, notFound: lead };
});
vi.mock('next/headers', () => ({
	headers: async () => new Headers(),
	cookies: async () => ({ set: () => {}, delete: () => {}, get: () => undefined }),
}));
vi.mock('next/cache', () => ({ revalidatePath: () => {} }));

const FOLDER = 'app/_actions';
const ACTIONS = readdirSync(FOLDER);
/** Whatever the actions and forms call a field is a word in quotes somewhere in them. */
const NAMES = [FOLDER, 'app/_forms'].flatMap((folder) =>
	readdirSync(folder).flatMap((file) =>
		Array.from(
			readFileSync(path.join(folder, file), 'utf8').matchAll(/[.'"]([a-z][a-zA-Z-]{1,30})\b/g),
			([, name]) => name!,
		),
	),
);

const holder = globalThis as typeof globalThis & { decksideRunning?: Promise<Running> };
let known: readonly string[];
beforeEach(async () => {
	const store = await temporaryStore();
	const { lotId, runId, productId } = await storedRun(store);
	known = [lotId, runId, productId, randomUUID()];
	const queue = { ...(await startAnalysisQueue(store, POOL_HERE)), wake: () => {} };
	holder.decksideRunning = Promise.resolve({ store, pool: POOL_HERE, queue });
});

const id = fc.nat(3).map((at) => known[at]!);
const odd = fc.constantFrom(
	'',
	' ',
	'-1',
	'1e999',
	'12,4 kg',
	'2026-02-30',
	'a'.repeat(5000),
	'\u0000',
	'\ud800',
	'yes',
);
const file = fc.oneof(fc.json(), fc.string()).map((text) => new File([text], 'file.json'));
const value = fc.oneof({ arbitrary: id, weight: 2 }, odd, fc.string(), file);
const form = fc
	.tuple(
		fc.dictionary(fc.constantFrom('id', 'runId', 'productId', 'lotId', 'photoId'), id),
		fc.array(fc.tuple(fc.constantFrom(...new Set(NAMES)), value), { maxLength: 20 }),
	)
	.map(([ids, fields]) => {
		const made = new FormData();
		for (const [name, given] of [...Object.entries(ids), ...fields]) made.append(name, given);
		return made;
	});
const json = fc.oneof(id, fc.jsonValue());

/** What comes of an action: it leads on, answers, or refuses in words; anything else it throws is thrown on. */
async function answerOf(
	action: (...given: unknown[]) => Promise<unknown>,
	given: readonly unknown[],
): Promise<unknown> {
	try {
		return await action(...given);
	} catch (error) {
		if (error instanceof led || error instanceof TrayError) return undefined;
		throw error;
	}
}

test.each(ACTIONS)('the actions of %s lead on, answer or refuse in words, whatever is sent', async (file) => {
	const actions = (await import(/* @vite-ignore */ path.resolve(FOLDER, file))) as Record<
		string,
		() => Promise<unknown>
	>;
	for (const [name, action] of Object.entries(actions)) {
		const isForm = !/^(teachSpots|unteachSpots|leaveOutTaught)$/.test(name);
		const given: fc.Arbitrary<readonly unknown[]> = !isForm
			? fc.tuple(json, json)
			: action.length === 2
				? form.map((one) => [FRESH_FORM, one])
				: form.map((one) => [one]);
		await fc.assert(
			fc.asyncProperty(given, async (asked) => {
				const answer = await answerOf(action, asked);
				for (const { message } of (answer as FormState | undefined)?.problems ?? []) {
					expect(message, name).toMatch(/\S.{9,}/s);
				}
			}),
			{ numRuns: action.length === 0 ? 1 : 40, seed: 1 },
		);
	}
});
