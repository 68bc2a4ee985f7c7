import 'server-only';
import { CompiledQuery, type ExpressionBuilder, sql, type Transaction } from 'kysely';
import { z } from 'zod';
import { inOrder } from './heldPhotos';
import { LEASE_S, type PhotoJob, type PhotoJobs } from './photoJobs';
import { endTurn, giveBack, nextTurn, type Speaker, type Turn, triesOf } from './photoLine';
import type { YardDatabase } from './postgres';
import type { Tables } from './schema';

const YARD = sql<string>`yard_id`.as('yard');

/** The database's own clock, so that programs need not agree on the time. */
const NOW = sql<string>`to_char(clock_timestamp() at time zone 'utc', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"')`;
const LEASE_END = inLeases(1);

function inLeases(leases: number) {
	return sql<string>`to_char(clock_timestamp() at time zone 'utc' + ${sql.lit(leases * LEASE_S)} * interval '1 second', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"')`;
}

const DEADLY = {
	state: 'refused',
	claimed_by: null,
	refused_message: 'The program broke off whenever it read this photo.',
	refused_hint: 'The photo itself is kept. Take it again, with the camera set to fewer pixels.',
};

/** As the database writes it: lib/store/migrations/photoLine.ts. */
const placeSchema = z.object({ yard: z.string(), id: z.string() });

/**
 * The photos of all yards of a database, worked on by any number of programs.
 *
 * Who waits, whose turn it is and how often a photo was given out is kept by a package (lib/store/photoLine.ts). The photo's row
 * says what people and pages go by, and has the last word: a turn whose photo does not wait is ended, and the next is taken. A
 * turn and its photo change in one transaction. A program shows signs of life in the row; when they stay away, the turn is given
 * back, another takes the photo, and what the first may still write counts no more.
 *
 * Whoever takes a turn holds it first and the row next; whatever else changes both holds the row first and waits for no turn that
 * is being taken: so none waits for another in a circle.
 */
export function sharedJobs({ everyYard, storeOf, line }: YardDatabase): PhotoJobs {
	async function taken(tx: Transaction<Tables>, turn: Turn): Promise<PhotoJob | undefined> {
		const place = placeSchema.safeParse(turn.data);
		if (!place.success) return undefined;
		const { yard, id } = place.data;
		const ofPhoto = sql<boolean>`(yard_id, id) = (${yard}, ${id})`;
		// held before it is judged, so that a change under way is waited for and the next one finds the turn over
		const row = await tx
			.selectFrom('photo')
			.select(['state', 'held', 'deleted_at', 'claimed_by'])
			.where(ofPhoto)
			.forUpdate()
			.executeTakeFirst();
		if (row === undefined || row.held !== null || row.deleted_at !== null) return undefined;
		const isGivenBack = row.state === 'reading' && row.claimed_by !== null && turnOf(row.claimed_by).id === turn.id;
		if (row.state !== 'queued' && !isGivenBack) return undefined;
		const claim = `${turn.id}/${turn.retryCount}`;
		const claimed = { state: 'reading', claimed_by: claim, claimed_until: LEASE_END };
		await tx.updateTable('photo').set(claimed).where(ofPhoto).execute();
		return { id, store: storeOf(yard), claim };
	}

	/** Once a turn was given back and taken by another it is the other's to end. */
	async function end(tx: Transaction<Tables>, claim: string): Promise<void> {
		const { id, tries } = turnOf(claim);
		if ((await triesOf(line, within(tx), id)) === tries) await endTurn(line, within(tx), id);
	}

	function claimed(claims: readonly string[]) {
		const read = everyYard.selectFrom('photo').select('photo.id').where('state', '=', 'reading');
		return inOrder(everyYard, read.where('claimed_by', 'in', [...claims]));
	}

	/** A photo that takes a program's memory away must not end one worker after the other. */
	async function giveBackLapsed(): Promise<void> {
		await everyYard.transaction().execute(async (tx) => {
			const gone = await tx
				.selectFrom('photo')
				.select([YARD, 'id', 'claimed_by'])
				.where(isLapsed)
				.forUpdate()
				.skipLocked()
				.execute();
			for (const { yard, id, claimed_by } of gone) {
				const now = claimed_by === null ? undefined : await giveBack(line, within(tx), turnOf(claimed_by).id);
				// a row whose turn is gone stands in line anew; one whose turn waits is looked at again after a while
				const change = now === 'failed' ? DEADLY : now === 'waits' ? { claimed_until: LEASE_END } : { state: 'queued' };
				await tx.updateTable('photo').set(change).where(sql<boolean>`(yard_id, id) = (${yard}, ${id})`).execute();
			}
		});
	}

	return {
		start: async () => {
			await giveBackLapsed();
			// whoever waits stands in line, whatever became of the line; the rows first, as everywhere: who makes a place without
			// its row may wait for whoever changes the photo, who waits for a place made before
			await sql`with waiting as materialized (select photo from photo
				where state = 'queued' and held is null and deleted_at is null order by yard_id, id for no key update)
				select line_up_photo(photo) from waiting`.execute(everyYard);
		},
		take: async () => {
			for (;;) {
				const { job, isOver } = await everyYard.transaction().execute(async (tx) => {
					const turn = await nextTurn(line, within(tx));
					const job = turn && (await taken(tx, turn));
					if (turn !== undefined && job === undefined) await endTurn(line, within(tx), turn.id);
					return { job, isOver: turn === undefined || job !== undefined };
				});
				if (isOver) return job;
			}
		},
		finish: ({ id, store, claim }, outcome) =>
			store.db.transaction().execute(async (tx) => {
				if (outcome !== undefined) {
					const query = tx.updateTable('photo').set(outcome).where('id', '=', id);
					await query.where('state', '=', 'reading').where('claimed_by', '=', claim).execute();
				}
				await end(tx, claim);
			}),
		putBack: (claims) =>
			everyYard.transaction().execute(async (tx) => {
				const query = tx.updateTable('photo').set({ state: 'queued', claimed_by: null });
				await query
					.where('id', 'in', claimed(claims))
					.where('claimed_by', 'in', [...claims])
					.execute();
				for (const claim of claims) await end(tx, claim);
			}),
		holdOn: async (claims) => {
			await giveBackLapsed();
			if (claims.length === 0) return [];
			const held = await everyYard
				.updateTable('photo')
				.set({ claimed_until: LEASE_END })
				.where('id', 'in', claimed(claims))
				.where('claimed_by', 'in', [...claims])
				.returning('claimed_by')
				.execute();
			return claims.filter((claim) => !held.some(({ claimed_by }) => claimed_by === claim));
		},
	};
}

/** A claim is a turn and how often it was given out before, so each time it is given out it is another. */
function turnOf(claim: string): { readonly id: string; readonly tries: number } {
	const [id = '', tries] = claim.split('/');
	return { id, tries: Number(tries) };
}

/** Lets the package speak within a transaction. */
function within(tx: Transaction<Tables>): Speaker {
	return { executeSql: async (text, values) => tx.executeQuery(CompiledQuery.raw(text, values)) };
}

/** Whoever read the photo shows no more signs of life. */
function isLapsed(eb: ExpressionBuilder<Tables, 'photo'>) {
	// none is given out for so long: the server's clock has been set back since
	const isOfAnotherClock = eb('claimed_until', '>', inLeases(2));
	return eb.and([eb('state', '=', 'reading'), eb.or([eb('claimed_until', '<', NOW), isOfAnotherClock])]);
}
