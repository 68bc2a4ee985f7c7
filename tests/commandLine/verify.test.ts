import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { recordSheet } from '@/lib/report/recordSheet';
import { madeSealed } from '../report/madeRecord';

const PHOTO = 'demo-images/dev-run-conc1-tray1.jpg';
const bytes = readFileSync(PHOTO);
const sealed = madeSealed({
	photos: [{ spread: 1, sha256: createHash('sha256').update(bytes).digest('hex'), sizeBytes: bytes.length }],
});
let folder: string;
beforeAll(async () => {
	folder = await mkdtemp(path.join(tmpdir(), 'deckside-verify-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

function verify(...given: string[]) {
	const command = spawnSync(
		process.execPath,
		['node_modules/tsx/dist/cli.mjs', 'app/_command/grade.ts', '--verify', ...given],
		{
			encoding: 'utf8',
		},
	);
	return { status: command.status, output: command.stdout, complaint: command.stderr };
}

function made(name: string, content: string | Uint8Array): string {
	writeFileSync(path.join(folder, name), content);
	return path.join(folder, name);
}

test('an untouched record and photo match, and every number of the record is told', () => {
	const { status, output } = verify(made('record.json', JSON.stringify(sealed)), PHOTO);
	expect(status).toBe(0);
	expect(output).toContain(`Record ${sealed.record.number} matches its seal.`);
	expect(output).toContain('the untouched original of spread 1');
	const sheet = recordSheet(sealed, '', { isRunChanged: false });
	for (const { share } of sheet.composition) expect(output).toContain(share);
	for (const { lines } of sheet.standings) for (const line of lines) expect(output).toContain(line.chance);
});

test('one byte of the photo or one digit of the data makes it fail and is named', () => {
	const altered = Uint8Array.from(bytes);
	altered[altered.length - 1000]! ^= 1;
	const byte = verify(made('record.json', JSON.stringify(sealed)), made('altered.jpg', altered));
	expect(byte.status).toBe(1);
	expect(byte.output).toMatch(/altered\.jpg: not one of this record's photos/);
	const digit = verify(made('digit.json', JSON.stringify(sealed).replace('0.02312', '0.01312')), '--json');
	expect(digit.status).toBe(1);
	expect(JSON.parse(digit.output)).toMatchObject({ matches: false, changedParts: ['composition'] });
});

test('a file that is no record, and options that do not go together, are told', () => {
	const none = verify(made('none.json', '{}'));
	expect(none.status).toBe(1);
	expect(none.complaint).toContain('not the data file of a record');
	const both = verify('record.json', '--run', 'demo-images/run.json');
	expect(both.status).toBe(2);
	expect(both.complaint).toContain('--verify was given together with');
});
