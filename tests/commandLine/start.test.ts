import { spawnSync } from 'node:child_process';
import { expect, test } from 'vitest';

test.each([['--lan', 'everywhere'], ['--wan'], ['0.0.0.0'], ['--lan', '0.0.0.0; rm']])(
  'start refuses %s %s with a word on what it takes',
  (...given) => {
    const { status, stderr } = spawnSync(process.execPath, ['app/_command/start.mjs', ...given], { encoding: 'utf8' });
    expect(status).toBe(1);
    expect(stderr).toContain('npm start -- --lan');
  },
);
