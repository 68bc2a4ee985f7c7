import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { z } from 'zod';
import { weighingSchema } from '@/lib/balance/weighing';
import { contractLimitsSchema } from '@/lib/conformity/contractLimits';
import { TrayError } from '@/lib/errors/TrayError';
import { checkSchema } from '@/lib/grade/checkEntry';
import { BUILT_IN_MATERIALS } from '@/lib/material/builtInMaterials';
import { materialSchema } from '@/lib/material/material';
import { photoListSchema } from '@/lib/report/photoFile';
import { recordFileSchema } from '@/lib/report/recordSchema';
import { runFileSchema } from '@/lib/report/runFile';
import { splitFileSchema } from '@/lib/report/splitFile';
import { importRun } from '@/lib/store/importRun';
import { saveMaterial } from '@/lib/store/materials';
import { listRuns } from '@/lib/store/runs';
import { priceSheetSchema } from '@/lib/value/priceSheet';
import { temporaryStore } from '../store/temporaryStore';

type Json = unknown;

/** The same files at every run; another seed finds others. */
const SEEDED = { seed: Number(process.env.FUZZ_SEED ?? 4) };

const json = (path: string): Json => JSON.parse(readFileSync(path, 'utf8'));

/** A file of each form that is right, and its schema. */
const FORMS: readonly (readonly [string, z.ZodType, Json])[] = [
	['run file', runFileSchema, json('demo-images/run.json')],
	['price file', priceSheetSchema, json('demo-images/prices.json')],
	['material file', materialSchema, BUILT_IN_MATERIALS[0]],
	[
		'list of photos',
		photoListSchema,
		['a.jpg', { photo: 'b.jpg', surface: 'tray', corners: [0, 0, 9, 0, 9, 9, 0, 9], fieldMm: '200x140' }],
	],
	['check', checkSchema, { kind: 'strip', picks: 40, before: '2.10 g', copper: '0.12 g' }],
	[
		'weighing',
		weighingSchema,
		{ gross: '5.07 kg', tare: '0.78 kg', moisture: { kind: 'fraction', fraction: '4 %', u: 0.005 } },
	],
	['split file', splitFileSchema, { deckside: 'split/1' }],
	['limits', contractLimitsSchema, {}],
	['record file', recordFileSchema, {}],
];

/** What is put in the place of a value: every kind of JSON, and numbers and texts at the edge of what can be held. */
const strange = fc.oneof(
	fc.jsonValue(),
	fc.constantFrom<Json>(
		null,
		'',
		' ',
		'-0',
		'1e999',
		'NaN',
		'٣',
		'\u0000',
		'\ud800',
		'a'.repeat(100_000),
		'../../x',
		'<b>',
	),
	fc.constantFrom<Json>(0, -0, -1, 1e308, -1e308, 5e-324, 2 ** 53, 0.1, true, [], {}, [[[]]]),
	fc.constantFrom<Json>({ __proto__: null, constructor: 1 }, JSON.parse('{"__proto__":{"polluted":true}}')),
);

/** A right file with up to four of its values changed, taken out or added to. */
function mutated(right: Json): fc.Arbitrary<Json> {
	const change = fc.tuple(fc.infiniteStream(fc.nat(1000)), strange, fc.constantFrom('put', 'drop', 'add'));
	return fc.array(change, { minLength: 1, maxLength: 4 }).map((changes) => {
		const holder = { root: structuredClone(right) };
		for (const [steps, value, way] of changes) mutate(holder, steps, structuredClone(value), way);
		return holder.root;
	});
}

function mutate(holder: { root: Json }, steps: Iterator<number>, value: Json, way: 'put' | 'drop' | 'add'): void {
	let place: Record<string, Json> = holder as Record<string, Json>;
	let key = 'root';
	for (;;) {
		const inner = place[key];
		const keys = inner === null || typeof inner !== 'object' ? [] : Object.keys(inner);
		const next = keys[steps.next().value % (keys.length + 1)];
		if (next === undefined) break;
		place = inner as Record<string, Json>; // it has keys, so it is an object
		key = next;
	}
	const there = place[key];
	if (way === 'drop') delete place[key];
	else if (way === 'add' && typeof there === 'object' && there !== null) Object.assign(there, { extra: value });
	else place[key] = value;
}

describe.each(FORMS)('a %s', (_, schema, right) => {
	test('that is changed anywhere is taken or refused with a reason, never anything else', () => {
		fc.assert(
			fc.property(fc.oneof(mutated(right), strange), (given) => {
				const parsed = schema.safeParse(given);
				if (!parsed.success) expect(parsed.error.issues[0]?.message.length).toBeGreaterThan(3);
				expect(({} as { polluted?: boolean }).polluted).toBeUndefined();
			}),
			{ numRuns: 400, ...SEEDED },
		);
	});
});

test('the examples themselves are right', () => {
	for (const [name, schema, right] of FORMS.slice(0, 6)) expect(schema.safeParse(right).success, name).toBe(true);
});

/** Only a refusal in words may come out. */
async function inWords(work: Promise<unknown>): Promise<void> {
	await work.catch((error: unknown) => {
		expect(error).toBeInstanceOf(TrayError);
		expect((error as TrayError).message.length).toBeGreaterThan(10); // checked on the line above
	});
}

test('a changed run file is taken into the database whole, or refused in words with nothing kept', async () => {
	const store = await temporaryStore();
	const count = async () => (await listRuns(store)).length;
	const text = fc.oneof(
		mutated(FORMS[0]?.[2]).map((given) => JSON.stringify(given) ?? ''),
		fc.string(),
	);
	await fc.assert(
		fc.asyncProperty(text, async (given) => {
			const before = await count();
			const taken = await importRun(store, given).catch((error: unknown) => error);
			if (taken instanceof Error) {
				await inWords(Promise.reject(taken));
				expect(await count()).toBe(before);
			} else expect(await count()).toBe(before + 1);
		}),
		{ numRuns: 120, ...SEEDED },
	);
});

test('a changed material file is taken or refused in words', async () => {
	const store = await temporaryStore();
	const text = fc.oneof(
		mutated(FORMS[2]?.[2]).map((given) => JSON.stringify(given) ?? ''),
		fc.string(),
	);
	await fc.assert(
		fc.asyncProperty(text, (given) => inWords(saveMaterial(store, given))),
		{ numRuns: 200, ...SEEDED },
	);
});
