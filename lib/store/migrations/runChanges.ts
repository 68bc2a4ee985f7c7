import { type Kysely, type Migration, sql } from 'kysely';
import { isPostgres } from '../isPostgres';

/** What of a table's rows a run's figures, or what it teaches, rest on, and how a row leads to its run. */
export interface Watched {
	readonly columns: string;
	/** Whether rows that come and go count too; where not, others do that come and go with them. */
	readonly isWhole: boolean;
	/** @param own - narrows a table to the row's yard, by which its rows are found */
	readonly run: (row: string, own: string) => string;
	/** Which updates count, where not all. */
	readonly when?: string;
}

const ofProduct = (row: string, own: string) => `id in (select run_id from product where id = ${row}.product_id${own})`;

/** By table. */
export const WATCHED: Readonly<Record<string, Watched>> = {
	lot: { columns: 'name, deleted_at', isWhole: false, run: (row) => `lot_id = ${row}.id` },
	run: {
		columns: 'lot_id, name, run_date, settings, feed, notes, material, demo, deleted_at',
		isWhole: false,
		run: (row) => `id = ${row}.id`,
	},
	product: {
		columns: 'run_id, name, role, position, weighing, deleted_at',
		isWhole: true,
		run: (row) => `id = ${row}.run_id`,
	},
	product_check: { columns: 'product_id, spread_id, entry, taught, deleted_at', isWhole: true, run: ofProduct },
	spread: { columns: 'product_id, position', isWhole: false, run: ofProduct },
	photo: {
		columns: 'spread_id, state, analysis_key, held, deleted_at',
		isWhole: true,
		run: (row, own) =>
			`id in (select run_id from product where id in (select product_id from spread where id = ${row}.spread_id${own})${own})`,
		// whoever takes a photo to read it changes no figure
		when: "old.state = 'graded' or new.state = 'graded' or old.held is distinct from new.held or old.deleted_at is distinct from new.deleted_at",
	},
};

/**
 * How often what a run's figures rest on has changed, and whether it ever held a check, which may teach other runs. The database counts by itself, in the
 * very statement that changes a row: no query can forget it. Whoever keeps what many runs came to looks up anew those alone that have changed.
 */
export const runChanges: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		const run = (text: string) => sql.raw(text).execute(db);
		const isShared = isPostgres(db);
		const key = isShared ? 'yard_id, run_id' : 'run_id';
		await run(`create table run_change (yard_id text not null default 'home', run_id text not null, changes integer not null,
      teaches integer not null, primary key (${key}))`);
		await run(`create index run_change_by_teaching on run_change (${isShared ? 'yard_id, ' : ''}teaches, changes)`);
		await run(`insert into run_change (yard_id, run_id, changes, teaches)
      select distinct yard_id, run_id, 1, 1 from product where (yard_id, id) in (select yard_id, product_id from product_check)`);
		for (const [table, { columns, isWhole, run: runOf, when }] of Object.entries(WATCHED)) {
			const teaches = table === 'product_check' ? 1 : 0;
			const count = (...rows: readonly string[]) => {
				const own = isShared ? ` and yard_id = ${rows[0]}.yard_id` : '';
				return `insert into run_change (yard_id, run_id, changes, teaches)
          select yard_id, id, 1, ${teaches} from run where (${rows.map((row) => runOf(row, own)).join(' or ')})${own}
          on conflict (${key}) do update set changes = run_change.changes + 1${teaches === 1 ? ', teaches = 1' : ''};`;
			};
			const follow = async (event: string, counted: string, condition = '') => {
				const name = `${table}_${event.split(' ')[0]}_counts`;
				if (isShared) {
					const body = `begin ${counted} return null; end`;
					await run(`create function ${name}() returns trigger language plpgsql as $$ ${body} $$`);
				}
				const then = isShared ? `execute function ${name}()` : `begin ${counted} end`;
				await run(`create trigger ${name} after ${event} on ${table} for each row ${condition} ${then}`);
			};
			await follow(`update of ${columns}`, count('new', 'old'), when === undefined ? '' : `when (${when})`);
			if (!isWhole) continue;
			await follow('insert', count('new'));
			await follow('delete', count('old'));
		}
	},
};
