import { execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';

/** A second address of this machine that plays the local network. */
const LAN_ADDRESS = '127.0.0.2';

/** A server that phones may join, with a run that is open. */
export interface LanServer {
	/** As the laptop's own browser reaches it. */
	readonly laptop: string;
	/** As phones reach it. */
	readonly network: string;
	readonly runId: string;
	readonly productId: string;
	stop(): Promise<void>;
}

/** Start a server of its own, with data of its own, that listens for phones. */
export async function startLanServer(): Promise<LanServer> {
	const top = path.resolve(import.meta.dirname, '../..');
	const folder = mkdtempSync(path.join(tmpdir(), 'deckside-lan-'));
	const prepare = ['--conditions=react-server', '--import', 'tsx', 'tests/screens/preparedDirectory.ts', folder];
	const made = execFileSync(process.execPath, prepare, { cwd: top, encoding: 'utf8' });
	const { runId, productId } = JSON.parse(made) as { runId: string; productId: string };
	const port = await freePort();
	const server = spawn(process.execPath, ['app/_command/serve.mjs', '--port', String(port), '--lan', LAN_ADDRESS], {
		cwd: top,
		env: { ...process.env, NODE_ENV: 'production', DECKSIDE_DATA: folder },
		stdio: ['ignore', 'pipe', 'inherit'],
	});
	const ended = new Promise<void>((resolve) => server.once('exit', () => resolve()));
	await new Promise<void>((resolve, reject) => {
		server.once('exit', () => reject(new Error('The server for phones did not start.')));
		server.stdout.on('data', (chunk) => String(chunk).includes('ready on') && resolve());
	});
	const laptop = `http://127.0.0.1:${port}`;
	const ready = await fetch(`${laptop}/api/ready`);
	if (!ready.ok) throw new Error(await ready.text());
	return {
		laptop,
		network: `http://${LAN_ADDRESS}:${port}`,
		runId,
		productId,
		stop: async () => {
			server.kill();
			await ended;
			rmSync(folder, { recursive: true, force: true });
		},
	};
}

function freePort(): Promise<number> {
	return new Promise((resolve) => {
		const probe = createServer().listen(0, '127.0.0.1', () => {
			const place = probe.address();
			probe.close(() => resolve(place !== null && typeof place === 'object' ? place.port : 0));
		});
	});
}
