import { type Kysely, type Migration, sql } from 'kysely';
import { isPostgres } from '../isPostgres';
import { WATCHED, type Watched } from './runChanges';

/** Who a table's changed rows lead to: a query of `yard_id, id` of runs. */
const RUNS: Readonly<Record<string, string>> = {
	lot: 'select run.yard_id, run.id from run join changed on (run.yard_id, run.lot_id) = (changed.yard_id, changed.id)',
	run: 'select yard_id, id from changed',
	product: 'select yard_id, run_id from changed',
	product_check: ofProducts('changed'),
	spread: ofProducts('changed'),
	photo: ofProducts(
		'spread join changed on (spread.yard_id, spread.id) = (changed.yard_id, changed.spread_id)',
		'spread',
	),
};

function ofProducts(rows: string, last = rows): string {
	return `select product.yard_id, product.run_id from ${rows} join product on (product.yard_id, product.id) = (${last}.yard_id, ${last}.product_id)`;
}

/**
 * On PostgreSQL the changes of runs are counted once a statement, in the order of the runs. Counted row by row, in the order that rows were found in,
 * two statements about several runs each could wait for each other in a circle. What counts is as before, but for what was written as it stood.
 */
export const countsInOrder: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		if (!isPostgres(db)) return;
		for (const [table, watched] of Object.entries(WATCHED)) {
			await count(db, table, 'update', changedRows(watched));
			if (!watched.isWhole) continue;
			await count(db, table, 'insert', 'select * from now_there');
			await count(db, table, 'delete', 'select * from there_before');
		}
	},
};

function changedRows({ columns, when }: Watched): string {
	const of = (rows: string) => columns.replaceAll(/\w+/g, `${rows}.$&`);
	const counts = when === undefined ? '' : ` and (${when.replaceAll('old.', 'b.').replaceAll('new.', 'n.')})`;
	const rows = (shown: string) =>
		`select ${shown}.* from now_there n join there_before b on (b.yard_id, b.id) = (n.yard_id, n.id)
      where (${of('n')}) is distinct from (${of('b')})${counts}`;
	return `${rows('n')} union all ${rows('b')}`;
}

/** By index: the plan is made while there are few runs and must do when there are many. */
async function count(db: Kysely<unknown>, table: string, event: string, changed: string): Promise<void> {
	const run = (text: string) => sql.raw(text).execute(db);
	const name = `${table}_${event}_counts`;
	const teaches = table === 'product_check' ? 1 : 0;
	const rows = [
		event === 'delete' ? '' : 'new table as now_there',
		event === 'insert' ? '' : 'old table as there_before',
	];
	await run(`create or replace function ${name}() returns trigger language plpgsql set enable_seqscan = off as $$ begin
    insert into run_change (yard_id, run_id, changes, teaches)
      with changed as (${changed}) select distinct yard_id, id, 1, ${teaches} from (${RUNS[table]}) found (yard_id, id)
        where exists (select 1 from run where (run.yard_id, run.id) = (found.yard_id, found.id)) order by yard_id, id
      on conflict (yard_id, run_id) do update set changes = run_change.changes + 1${teaches === 1 ? ', teaches = 1' : ''};
    return null; end $$`);
	await run(`drop trigger ${name} on ${table}`);
	await run(`create trigger ${name} after ${event} on ${table} referencing ${rows.join(' ')}
    for each statement execute function ${name}()`);
}
