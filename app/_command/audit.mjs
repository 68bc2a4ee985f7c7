// Asks the registry for known faults of the packages that the program runs with. With --report it tells and never fails: a fault
// that is found out on some day must not break the tests of code that has not changed.
import { spawnSync } from 'node:child_process';

const quick = ['--fetch-retries=0', '--fetch-timeout=15000'];
const npm = process.platform === 'win32' ? 'npm.cmd' : 'npm';
const { stdout } = spawnSync(npm, ['audit', '--omit=dev', '--json', ...quick], { encoding: 'utf8' });
const found = faultsIn(stdout ?? '');
if (found === undefined) console.log('Packages were not audited: this registry offers no audit, or cannot be reached.');
else if (found.length === 0) console.log('Packages were audited: no known fault of high or critical weight.');
else {
  console.error(`Known faults of high or critical weight: ${found.join(', ')}. See: npm audit --omit=dev`);
  if (!process.argv.includes('--report')) process.exitCode = 1;
}

/** Names of packages with a grave fault; undefined when the answer is no audit. */
function faultsIn(text) {
  try {
    const { vulnerabilities } = JSON.parse(text);
    if (vulnerabilities === undefined) return undefined;
    return Object.values(vulnerabilities)
      .filter(({ severity }) => severity === 'high' || severity === 'critical')
      .map(({ name, severity }) => `${name} (${severity})`);
  } catch {
    return undefined; // no JSON, so no audit
  }
}
