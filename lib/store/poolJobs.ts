import type { ToldFigures } from '../balance/budget';
import type { ExplainedRun } from '../balance/explainRun';
import type { TrayErrorCode } from '../errors/TrayError';
import type { Material } from '../material/material';
import type { TaughtSpot } from '../material/taughtSpot';
import type { PiecePicture } from '../report/piecePicture';
import type { PriceSheet } from '../value/priceSheet';
import type { RunValue } from '../value/runValue';
import type {
	AccountOrder,
	AnalysedPhoto,
	AnalysisOptions,
	ComparedRuns,
	CopperNarrowing,
	DrawnRun,
	FieldOnPhoto,
	OutlineOrder,
	PhotoOrder,
	RecordPrint,
	RunFlows,
	RunToCompare,
	WorkedRun,
} from './analysis';

interface Kind<Given, Value> {
	readonly given: Readonly<Given>;
	readonly value: Value;
}

type PhotoKind = Kind<{ bytes: Uint8Array; options: AnalysisOptions }, AnalysedPhoto>;

/** What a worker can be asked: by kind of job what it is given, and what comes of it. */
export interface Jobs {
	readonly photo: PhotoKind;
	readonly practice: PhotoKind;
	readonly run: Kind<{ order: AccountOrder }, WorkedRun>;
	readonly draws: Kind<{ order: AccountOrder }, DrawnRun>;
	readonly value: Kind<{ order: AccountOrder; sheet: PriceSheet }, RunValue>;
	readonly flows: Kind<{ order: AccountOrder }, RunFlows>;
	readonly compare: Kind<{ runs: readonly RunToCompare[]; sheet: PriceSheet | undefined }, ComparedRuns>;
	readonly explain: Kind<{ order: AccountOrder; told: ToldFigures }, ExplainedRun>;
	readonly narrow: Kind<{ order: AccountOrder; label: string }, CopperNarrowing>;
	readonly print: Kind<{ print: RecordPrint }, Uint8Array>;
	readonly outline: Kind<{ order: OutlineOrder }, PiecePicture>;
	readonly locate: Kind<{ order: PhotoOrder }, FieldOnPhoto>;
	readonly study: Kind<{ order: PhotoOrder; spots: readonly TaughtSpot[] }, readonly TaughtSpot[]>;
	readonly refit: Kind<{ spots: readonly TaughtSpot[] }, Material['lastLayer']>;
}

export type JobKind = keyof Jobs;

/** One job. */
export interface Job<Of extends JobKind = JobKind> {
	readonly kind: Of;
	readonly given: Jobs[Of]['given'];
}

/** What is sent to a worker. */
export interface JobMessage {
	readonly job: Job;
	/** Processors that no job keeps busy, at every moment. */
	readonly spare: Int32Array<SharedArrayBuffer>;
}

/** What it answers; errors cross as plain words. */
export type JobReply =
	| { readonly ok: true; readonly value: Jobs[JobKind]['value'] }
	| {
			readonly ok: false;
			readonly code: TrayErrorCode;
			readonly message: string;
			readonly hint: string;
			readonly cause?: string;
	  };
