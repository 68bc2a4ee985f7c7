import { execFileSync, spawnSync } from 'node:child_process';
import { copyFileSync, mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { plainPng } from '../photo/madePhotos';
import { temporaryFolder } from '../store/temporaryStore';

const command = ['--import', 'tsx', 'app/_command/tryPhotos.ts'];

test('each file of a folder is tried as a photo and told in a line; links are left alone', async () => {
	const folder = await temporaryFolder();
	mkdirSync(path.join(folder, 'inside'));
	copyFileSync('demo-images/dev-run-tailings-tray1.jpg', path.join(folder, 'inside', 'tray.jpg'));
	writeFileSync(path.join(folder, 'grey.png'), await plainPng([128, 128, 128]));
	writeFileSync(path.join(folder, 'words.jpg'), 'The weights of bin 2 are on the other sheet.');
	symlinkSync('/dev/zero', path.join(folder, 'endless.jpg'));
	const lines = execFileSync(process.execPath, [...command, folder], { encoding: 'utf8' })
		.trim()
		.split('\n');
	expect(lines.map((line) => JSON.parse(line))).toMatchObject([
		{ file: 'grey.png', outcome: 'readable', format: 'png', widthPx: 96, message: expect.stringContaining('mat') },
		{ file: path.join('inside', 'tray.jpg'), outcome: 'graded', format: 'jpeg' },
		{ file: 'words.jpg', outcome: 'refused', message: 'The file is of an unknown kind, not a photo.' },
	]);
});

test('a folder that is not there is wrong use', () => {
	const { status, stderr } = spawnSync(process.execPath, [...command, 'nowhere'], { encoding: 'utf8' });
	expect(status).toBe(2);
	expect(stderr).toContain('FOLDER');
});
