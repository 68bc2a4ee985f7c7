import { loadDemo } from '../../lib/store/demo';
import { HOME_YARD } from '../../lib/store/ownYard';
import { openPostgres } from '../../lib/store/postgres';
import { startOnPostgres } from './appOnPostgres';

/** Serves the built app with the demonstration on a PostgreSQL server of its own until told to stop: its port, then the database's. */
const [port, databasePort] = process.argv.slice(2).map(Number);
if (port === undefined || databasePort === undefined) throw new Error('Name two ports.');
const app = await startOnPostgres({
	whose: HOME_YARD,
	port,
	databasePort,
	prepare: async (databaseUrl) => {
		const yards = await openPostgres(databaseUrl);
		await loadDemo(yards.storeOf(HOME_YARD));
		await yards.close();
	},
});
console.log(`on PostgreSQL at ${app.address}`);
for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => void app.stop());
