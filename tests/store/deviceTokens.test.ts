import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { expect, test } from 'vitest';
import { addDevice } from '@/lib/store/devices';
import { temporaryStore } from './temporaryStore';

test('no token lies in the data directory', async () => {
  const store = await temporaryStore();
  const token = await addDevice(store, 'Phone');
  const files = readdirSync(store.directory, { withFileTypes: true }).filter((entry) => entry.isFile());
  expect(files.length).toBeGreaterThan(0);
  for (const { name } of files)
    expect(readFileSync(path.join(store.directory, name)).includes(token), name).toBe(false);
});
