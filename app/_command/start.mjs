// Starts Deckside: builds it when that is needed, listens on this machine only (or, when asked, on the local network too), says
// the address.
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { createServer } from 'node:net';
import { networkInterfaces } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { isBlockedPort } from './blockedPort.mjs';

const HOST = '127.0.0.1';
const FIRST_PORT = 3000;
const PORTS_TRIED = 50;
const OLDEST_NODE = [20, 9];
const top = fileURLToPath(new URL('../..', import.meta.url));
const nextCommand = path.join(top, 'node_modules/next/dist/bin/next');

refuseOldNode();
if (!existsSync(nextCommand)) stop('Deckside is not installed here yet. Run: npm ci');
const lan = await lanAddresses(process.argv.slice(2));
if (isBuildOld()) build();
await start(await freePort());

function refuseOldNode() {
	const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
	if (major > OLDEST_NODE[0] || (major === OLDEST_NODE[0] && minor >= OLDEST_NODE[1])) return;
	stop(`Deckside needs Node ${OLDEST_NODE.join('.')} or newer; this is ${process.versions.node}.`);
}

function stop(sentence) {
	console.error(sentence);
	process.exit(1);
}

/** The addresses to listen at besides this machine's own: none, those named after --lan, else those that are found. */
async function lanAddresses(given) {
	if (given.length === 0) return [];
	const [option, ...named] = given;
	if (option !== '--lan' || named.some((address) => !/^\d{1,3}(\.\d{1,3}){3}$/.test(address)))
		stop('Use: npm start, or npm start -- --lan [ADDRESS ...] to let phones on the local network join.');
	if (named.length > 0) return named;
	const { tsImport } = await import('tsx/esm/api');
	const { localAddresses } = await tsImport('../_http/localAddresses.ts', import.meta.url);
	const found = localAddresses(networkInterfaces());
	if (found.length === 0)
		stop(
			'This machine is on no local network. Connect it to the Wi-Fi, or name its address: npm start -- --lan ADDRESS',
		);
	return found;
}

/** True when there is no build, or a source is newer than it. */
function isBuildOld() {
	const stamp = path.join(top, '.next/BUILD_ID');
	if (!existsSync(stamp)) return true;
	const builtAt = statSync(stamp).mtimeMs;
	const sources = ['app', 'lib', 'package.json', 'package-lock.json', 'next.config.mjs', 'tsconfig.json'];
	return sources.some((source) => newest(path.join(top, source)) > builtAt);
}

function newest(place) {
	if (!existsSync(place)) return 0;
	const found = statSync(place);
	if (!found.isDirectory()) return found.mtimeMs;
	return readdirSync(place).reduce((latest, name) => Math.max(latest, newest(path.join(place, name))), 0);
}

function build() {
	console.log('Building Deckside (a minute or so, only after a change) ...');
	const { status } = spawnSync(process.execPath, [nextCommand, 'build'], { cwd: top, stdio: 'inherit', env: quiet() });
	if (status !== 0) stop('The build failed; the reason stands above.');
}

function quiet() {
	return { ...process.env, NEXT_TELEMETRY_DISABLED: '1' };
}

async function freePort() {
	const wanted = process.env.PORT === undefined ? FIRST_PORT : Number(process.env.PORT);
	if (!Number.isInteger(wanted) || wanted < 1 || wanted > 65535)
		stop(`PORT must be 1 to 65535, not "${process.env.PORT}".`);
	for (let port = wanted; port < Math.min(65536, wanted + PORTS_TRIED); port++) {
		const free = await Promise.all([HOST, ...lan].map((address) => isFree(port, address)));
		if (!free.every(Boolean) || (await isBlockedPort(port))) continue;
		if (port !== wanted) console.log(`Port ${wanted} is taken, or closed to browsers; using ${port}.`);
		return port;
	}
	return stop(`No free port from ${wanted} to ${wanted + PORTS_TRIED - 1}.`);
}

function isFree(port, address) {
	return new Promise((resolve) => {
		const probe = createServer();
		probe.once('error', ({ code }) => {
			if (code === 'EADDRNOTAVAIL') stop(`This machine does not have the address ${address}.`);
			resolve(false);
		});
		probe.listen(port, address, () => probe.close(() => resolve(true)));
	});
}

async function start(port) {
	const serve = [path.join(top, 'app/_command/serve.mjs'), '--port', String(port)];
	if (lan.length > 0) serve.push('--lan', lan.join());
	const child = spawn(process.execPath, serve, {
		cwd: top,
		stdio: ['inherit', 'pipe', 'inherit'],
		env: quiet(),
	});
	for (const signal of ['SIGINT', 'SIGTERM']) process.on(signal, () => child.kill(signal));
	child.on('exit', (code, signal) => process.exit(signal === null ? (code ?? 1) : 0));
	child.stdout.on('data', (chunk) => {
		if (!/ready/i.test(String(chunk))) return;
		child.stdout.removeAllListeners('data');
		child.stdout.resume();
		wake(`http://${HOST}:${port}`, child);
	});
}

/**
 * Let the server open its data, so that photos left waiting are read before the first page is asked for. Where it can't, it
 * is stopped: another program may be using the data.
 */
async function wake(address, child) {
	const trouble = await fetch(`${address}/api/ready`).then(
		async (answer) => (answer.ok ? undefined : sentenceIn(await answer.json())),
		(error) => `The server does not answer: ${error.message}`,
	);
	if (trouble !== undefined) {
		child.removeAllListeners('exit');
		child.kill();
		stop(trouble);
	}
	console.log(`Deckside is ready: ${address}`);
	if (lan.length > 0) console.log(`Phones on the same network join with the code that ${address}/devices shows.`);
	console.log('Stop it with Ctrl+C.');
}

function sentenceIn({ message, hint }) {
	return `${message} ${hint}`;
}
