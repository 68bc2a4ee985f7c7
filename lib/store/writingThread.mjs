// The thread that owns the connection which writes to a data directory's database: one statement at a time, in by message, out by message.
// Waiting for the disk or for another program's lock holds up this thread alone. Plain JavaScript, so that every program can start it.
import { parentPort, workerData } from 'node:worker_threads';
import Database from 'better-sqlite3';
import { preparedOnce } from './preparedOnce.mjs';

const handle = new Database(workerData.file, { fileMustExist: true, timeout: workerData.busyMs });
handle.pragma('synchronous = FULL');
handle.pragma('foreign_keys = ON');
const prepare = preparedOnce(handle);

parentPort?.on('message', ({ text, parameters }) => parentPort?.postMessage(answer(text, parameters)));

/** No text: close the database. */
function answer(text, parameters) {
	try {
		if (text === undefined) return { ok: true, value: handle.close() && { rows: [] } };
		const statement = prepare(text);
		if (statement.reader) return { ok: true, value: { rows: statement.all(parameters) } };
		const { changes, lastInsertRowid } = statement.run(parameters);
		return { ok: true, value: { rows: [], numAffectedRows: BigInt(changes), insertId: BigInt(lastInsertRowid) } };
	} catch (error) {
		// an error loses its code on its way
		return { ok: false, message: error.message, code: error.code };
	}
}
