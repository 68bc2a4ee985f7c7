// Asks the registry for known faults of the packages that the program runs with. Leaves with 1 where there is a grave one and with 2
// where nobody could be asked: that is no pass. With --report it says the same and never fails: a fault that is found out on some
// day, or a registry without audits, must not break the tests of code that has not changed.
import { spawnSync } from 'node:child_process';

const quick = ['--fetch-retries=0', '--fetch-timeout=15000'];
const npm = process.platform === 'win32' ? 'npm.cmd' : 'npm';
const { stdout, error } = spawnSync(npm, ['audit', '--omit=dev', '--json', ...quick], { encoding: 'utf8' });
const answer = answerIn(stdout ?? '');
const faults = answer?.vulnerabilities === undefined ? undefined : graveOf(answer.vulnerabilities);
const isReport = process.argv.includes('--report');

if (faults === undefined) {
	console.error(`PACKAGES WERE NOT AUDITED: ${reason()}. Known faults, if any, were not looked for.`);
	if (!isReport) process.exitCode = 2;
} else if (faults.length === 0) console.log('Packages were audited: no known fault of high or critical weight.');
else {
	console.error(`Known faults of high or critical weight: ${faults.join(', ')}. See: npm audit --omit=dev`);
	if (!isReport) process.exitCode = 1;
}

function answerIn(text) {
	try {
		return JSON.parse(text);
	} catch {
		return undefined;
	}
}

/** Names of packages with a grave fault. */
function graveOf(vulnerabilities) {
	return Object.values(vulnerabilities)
		.filter(({ severity }) => severity === 'high' || severity === 'critical')
		.map(({ name, severity }) => `${name} (${severity})`);
}

/** Why nothing was learnt, without the registry's address. */
function reason() {
	if (error !== undefined) return `npm did not start (${error.code})`;
	if (typeof answer?.statusCode === 'number') return `the registry offers no audit (it answered ${answer.statusCode})`;
	return 'the registry could not be reached';
}
