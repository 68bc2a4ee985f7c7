import { startPostgres } from './postgresServer';

/** Starts a PostgreSQL server, says its address, and stays: to be killed. */
const { url } = await startPostgres();
console.log(url);
