import { type Kysely, type Migration, sql } from 'kysely';
import { isPostgres } from '../isPostgres';
import { QUICK_RUN_ID } from '../quickIds';

/**
 * On PostgreSQL a photo that comes to wait is put into the line of lib/store/photoLine.ts by the database itself, in the very
 * statement that lets it wait: no query can forget it. How often a photo was taken is counted there.
 */
export const photoLine: Migration = {
	async up(db: Kysely<unknown>): Promise<void> {
		await db.schema.alterTable('photo').dropColumn('claims').execute();
		if (!isPostgres(db)) return;
		// who stands there already is looked for first: to run into the same photo's place would mean waiting for whoever takes it, who
		// waits for the photo's row; by index, since the plan is made while the line is short and must do when it is long
		await sql`create function line_up_photo(waiting photo) returns void language plpgsql set enable_seqscan = off as $$
      declare
        mark text := json_build_array(waiting.yard_id, waiting.id)::text;
      begin
        insert into pgboss.job (name, data, singleton_key, priority, created_on,
          policy, retry_limit, retry_delay, expire_in, keep_until)
        select name, json_build_object('yard', waiting.yard_id, 'id', waiting.id), mark,
          exists (select 1 from spread join product on product.id = spread.product_id and product.yard_id = spread.yard_id
            where spread.id = waiting.spread_id and spread.yard_id = waiting.yard_id
              and product.run_id = ${sql.lit(QUICK_RUN_ID)})::int,
          waiting.created_at::timestamptz,
          policy, retry_limit, retry_delay, expire_seconds * interval '1 second', now() + retention_minutes * interval '1 minute'
        from pgboss.queue where name = 'photos' and not exists (select 1 from pgboss.job where name = 'photos'
          and coalesce(singleton_key, '') = mark and state = 'created' and policy = 'short')
        on conflict do nothing;
      end $$`.execute(db);
		// a turn that is being taken just now is passed over: whoever takes it finds that the photo does not wait
		await sql`create function drop_out_photo(held photo) returns void language plpgsql set enable_seqscan = off as $$
      begin
        delete from pgboss.job where name = 'photos' and id in (select id from pgboss.job where name = 'photos'
          and coalesce(singleton_key, '') = json_build_array(held.yard_id, held.id)::text and state = 'created' and policy = 'short'
          for update skip locked);
      end $$`.execute(db);
		await sql`create function follow_photo() returns trigger language plpgsql as $$
      begin
        if new.held is null and new.deleted_at is null then perform line_up_photo(new); else perform drop_out_photo(new); end if;
        return null;
      end $$`.execute(db);
		await sql`create trigger photo_waits after insert or update of state, held, deleted_at on photo for each row
      when (new.state = 'queued' and new.held is null and new.deleted_at is null) execute function follow_photo()`.execute(
			db,
		);
		await sql`create trigger photo_waits_no_more after update of held, deleted_at on photo for each row
      when (old.held is null and old.deleted_at is null and (new.held is not null or new.deleted_at is not null))
      execute function follow_photo()`.execute(db);
		await sql`select line_up_photo(photo) from photo where state = 'queued' and held is null and deleted_at is null`.execute(
			db,
		);
	},
};
