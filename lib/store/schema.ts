import type { ColumnType, Generated } from 'kysely';

/**
 * Tables of the database. Each also has a `yard_id`: `home` in a data directory, else read and written by lib/store/yardScope.ts
 * alone. Times are ISO 8601 text in UTC, masses kilograms, JSON columns text that is parsed with the schemas of
 * lib/store/entries.ts when read. A row with `deleted_at` is out of sight until it is brought back.
 */
export interface Tables {
	lot: LotRow;
	run: RunRow;
	product: ProductRow;
	spread: SpreadRow;
	photo: PhotoRow;
	analysis: AnalysisRow;
	account: AccountRow;
	material: MaterialRow;
	setting: SettingRow;
	price_sheet: PriceSheetRow;
	product_check: ProductCheckRow;
	record: RecordRow;
	record_link: RecordLinkRow;
	device: DeviceRow;
	taught_spot: TaughtSpotRow;
	stored_file: StoredFileRow;
	yard: YardRow;
	run_change: RunChangeRow;
}

interface LotRow {
	id: string;
	name: string;
	source: string;
	received_mass_kg: number | null;
	received_unit: string;
	treatment: string;
	notes: string;
	demo: number;
	created_at: string;
	deleted_at: string | null;
}

interface RunRow {
	id: string;
	lot_id: string;
	name: string;
	run_date: string;
	/** Table settings, JSON of `tableSettingsSchema`. */
	settings: string;
	/** Feed weighing, grade and stated loss, JSON of `feedSchema`. */
	feed: string;
	notes: string;
	/** Built-in or own material that photos of this run are read with, by name. */
	material: string;
	demo: number;
	created_at: string;
	deleted_at: string | null;
}

interface ProductRow {
	id: string;
	run_id: string;
	name: string;
	role: string;
	position: number;
	/** JSON of `weighingSchema`; null until weighed. */
	weighing: string | null;
	deleted_at: string | null;
}

interface ProductCheckRow {
	id: string;
	product_id: string;
	/** The spread that was sorted by hand; null for other kinds. */
	spread_id: string | null;
	/** JSON of `checkSchema` as typed. */
	entry: string;
	created_at: string;
	deleted_at: string | null;
	/** 1 where it teaches the material for other runs too. */
	taught: Generated<number>;
}

interface SpreadRow {
	id: string;
	product_id: string;
	position: number;
	weighed_mass_kg: number | null;
	weighed_unit: string;
}

interface PhotoRow {
	id: string;
	spread_id: string;
	/** Name of the untouched original in the photo folder. */
	sha256: string;
	/** What the sender called it; shown, never used as a path. */
	original_name: string;
	size_bytes: number;
	/** How the photo is to be read, JSON of `readingChoiceSchema`. */
	choice: string;
	/** `queued`, `reading`, `graded` or `refused`. */
	state: string;
	refused_message: string | null;
	refused_hint: string | null;
	/** Key of the analysis that holds for the present choice; null unless graded. */
	analysis_key: string | null;
	/** `stopped` or `redone` (taken again or left out): neither read nor counted until asked for; null otherwise. */
	held: string | null;
	/** The program that reads the photo now, and until when it may be thought alive; null unless `reading`. */
	claimed_by: Unsaid;
	claimed_until: Unsaid;
	created_at: string;
	deleted_at: string | null;
}

/** What was worked out from one photo with one set of options; can always be worked out again. */
interface AnalysisRow {
	key: string;
	result: string;
	engine_version: string;
	took_ms: number;
	created_at: string;
}

/** What was worked out for one run from one set of inputs; can always be worked out again. */
interface AccountRow {
	key: string;
	result: string;
	created_at: string;
}

interface MaterialRow {
	name: string;
	material: string;
	created_at: string;
	deleted_at: string | null;
}

interface TaughtSpotRow {
	/** Name of the material that it teaches. */
	material: string;
	/** Unique within the material. */
	id: string;
	photo_id: string;
	/** JSON of `taughtSpotSchema`. */
	spot: string;
	created_at: string;
	/** Undone. */
	deleted_at: string | null;
}

interface SettingRow {
	name: string;
	value: string;
}

/** Prices as they were entered; the latest holds, earlier ones stay on record. */
interface PriceSheetRow {
	id: string;
	/** JSON of `priceSheetSchema`. */
	sheet: string;
	created_at: string;
}

/** A cleanliness record as it was sealed; never changed, only marked. */
interface RecordRow {
	id: string;
	/** Shown to people; one of a kind. */
	number: string;
	product_id: string;
	/** The data file: canonical JSON of the record with its seal. */
	sealed: string;
	/** Checksum of everything the record was worked out from, to tell when the run has changed since. */
	basis: string;
	superseded_by: string | null;
	withdrawn_at: string | null;
	withdrawn_reason: string | null;
	created_at: string;
}

/** A link that shows one record to whoever holds its token; the token itself is not kept. */
interface RecordLinkRow {
	id: string;
	record_id: string;
	token_sha256: string;
	expires_at: string;
	revoked_at: string | null;
	created_at: string;
}

/** A device that joined over the local network. */
interface DeviceRow {
	id: string;
	name: string;
	/** Hash of the token that the device carries; the token itself is kept nowhere. */
	token_sha256: string;
	joined_at: string;
	seen_at: string;
	forgotten_at: string | null;
	/** 1 where it may do what else only the laptop may. */
	is_office: Generated<number>;
}

/** A file where there is no data directory: PostgreSQL only. */
interface StoredFileRow {
	name: string;
	bytes: Uint8Array;
	size_bytes: number;
}

/** A yard and the hashes of the codes that let devices join it, null where none was made: PostgreSQL only. */
interface YardRow {
	yard_id: string;
	code_sha256: string | null;
	office_code_sha256: string | null;
	created_at: string;
}

/** Kept by the database itself, see lib/store/migrations/runChanges.ts; a run without a row has not changed since there was the table. */
interface RunChangeRow {
	run_id: string;
	/** How often what its figures rest on has changed. */
	changes: number;
	/** 1 where it holds, or once held, a check. */
	teaches: number;
}

/** Null unless something is said when the row is made. */
type Unsaid = ColumnType<string | null, string | null | undefined, string | null>;
