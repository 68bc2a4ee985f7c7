// Serves the built app behind its gate: --port N, --lan ADDRESS,ADDRESS for the local network, --dev for the development server.
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { tsImport } from 'tsx/esm/api';

const { values } = parseArgs({
	options: { port: { type: 'string' }, lan: { type: 'string' }, dev: { type: 'boolean', default: false } },
});
// what lies beside the program is found from its top folder, wherever this was started from
process.chdir(fileURLToPath(new URL('../..', import.meta.url)));
const OWN = '127.0.0.1';
const port = Number(values.port ?? process.env.PORT ?? 3000);
const network = listOf(values.lan);
// pages read the addresses that phones are to be led to from here
process.env.DECKSIDE_LAN = network.map((address) => `http://${address}:${port}`).join(',');
process.env.NEXT_TELEMETRY_DISABLED = '1';
process.env.NODE_ENV ??= values.dev ? 'development' : 'production';

const { default: next } = await import('next');
const { createServer } = await import('node:http');
const { serve } = await tsImport('../_http/serve.ts', import.meta.url);
const { letEngineYield } = await tsImport('../../lib/store/priority.ts', import.meta.url);
letEngineYield();
const whose = await tsImport('../../lib/store/ownYard.ts', import.meta.url);
const ownYard = said(whose.ownYard);

// what reads TypeScript above has the engine read the maps of all built files too: a second of each start, and 120 MB from then on
process.setSourceMapsEnabled(values.dev);
// the framework would take web sockets past the gate on a server of ours: it gets one that never listens, and hears there of
// those that the gate lets through
const sockets = createServer();
const framework = next({ dev: values.dev, dir: '.', hostname: OWN, port, httpServer: sockets });
await framework.prepare();
const app = {
	handle: framework.getRequestHandler(),
	upgrade: (...given) => sockets.emit('upgrade', ...given),
};
const names = listOf(process.env.DECKSIDE_HOSTS);
const servers = await serve(app, { port, own: OWN, network, names, ownYard }, values.dev);
console.log(`ready on http://${OWN}:${port}`);

for (const signal of ['SIGINT', 'SIGTERM']) process.once(signal, stop);

/** Stop taking requests, let go of streams that never end, and leave. */
function stop() {
	for (const server of servers) {
		server.close();
		server.closeAllConnections();
	}
	process.exit(0);
}

/** What was set wrongly is told in a sentence. */
function said(setting) {
	try {
		return setting();
	} catch (trouble) {
		if (trouble.code !== 'usage') throw trouble;
		console.error(`${trouble.message} ${trouble.hint}`);
		return process.exit(1);
	}
}

function listOf(text = '') {
	return text
		.split(',')
		.map((part) => part.trim().toLowerCase())
		.filter((part) => part !== '');
}
