import type { AccountDraws } from '../balance/account';
import type { ComparableRun } from '../balance/compareRuns';
import type { copperNarrowingOf } from '../balance/explainRun';
import type { WorkedOutRun } from '../balance/gradedRun';
import type { RunAccount } from '../balance/runAccount';
import type { CheckInput } from '../grade/checkEntry';
import type { GradeTables } from '../grade/gradeProduct';
import type { ProductRole } from '../material/classes';
import type { Material } from '../material/material';
import type { SpreadReading } from '../particles/spreadReading';
import type { MatSize, PrintedScale } from '../photo/matGeometry';
import type { PhotoWarning } from '../photo/photoWarning';
import type { Flow, FlowDiagram } from '../report/flowDiagram';
import type { GradeRecoveryPlot } from '../report/gradeRecoveryPlot';
import type { RecordPaper } from '../report/recordPdf';
import type { RecordSheet } from '../report/recordSheet';
import type { ClassMap } from '../segmentation/classMap';
import type { ComparedRun } from '../value/comparedRuns';
import type { Feed, ReadingChoice, TypedWeighing } from './entries';
import type { TaughtCheck } from './lessons';

/**
 * What crosses between what is kept and what is reckoned: plain data, so that it can go to a worker thread and be kept as
 * JSON.
 */

/** How one photo is read: the person's choice with everything it refers to filled in. */
export interface AnalysisOptions {
	readonly choice: ReadingChoice;
	readonly material: Material;
	/** The mat's check line as measured over its length as drawn. */
	readonly matScale: PrintedScale;
}

/** What one photo says; kept as JSON. */
export interface PhotoAnalysis extends GradeTables {
	readonly surface: 'mat' | 'tray';
	/** The sheet that the mat was printed on; missing where its marks were not found, and in readings of earlier versions. */
	readonly matSize?: MatSize;
	readonly method: 'threshold' | 'model';
	readonly widthPx: number;
	readonly heightPx: number;
	readonly pxPerMm: number;
	/** Field corners found or given, pixels, clockwise from the field's top-left: x1, y1, ... x4, y4. */
	readonly cornersPx: readonly number[];
	readonly fieldWidthMm: number;
	readonly fieldHeightMm: number;
	/** What the light was corrected by, and how far off neutrals are then (mean CIEDE2000). */
	readonly light: { readonly source: 'patches' | 'surface' | 'none'; readonly residual?: number };
	readonly warnings: readonly PhotoWarning[];
	readonly reading: SpreadReading;
}

/** What a worker hands back for one photo. */
export interface AnalysedPhoto {
	readonly analysis: PhotoAnalysis;
	readonly classMap: ClassMap;
}

/** What is needed to outline the pieces of a photo that was read before. */
export interface OutlineOrder {
	/** The kept class map: a grey PNG of the whole upright photo. */
	readonly classMapPng: Uint8Array;
	readonly analysis: Pick<PhotoAnalysis, 'widthPx' | 'heightPx' | 'cornersPx' | 'fieldWidthMm' | 'fieldHeightMm'>;
	readonly material: Material;
}

/** A photo with how its field is found. */
export interface PhotoOrder {
	readonly bytes: Uint8Array;
	readonly choice: ReadingChoice;
	readonly matScale: PrintedScale;
}

/** Where the field of a photo is; enough to make its surface again at any size of the photo. */
export type FieldOnPhoto = Pick<
	PhotoAnalysis,
	'surface' | 'widthPx' | 'heightPx' | 'cornersPx' | 'fieldWidthMm' | 'fieldHeightMm'
>;

/** A run as the balance takes it. */
export interface AccountOrder {
	readonly runName: string;
	readonly feed: Feed;
	readonly material: Material;
	readonly products: readonly {
		/** Seeds the product's draws: its name, so that the command line's figures are the same; one of its own each. */
		readonly label: string;
		readonly name: string;
		readonly role: ProductRole;
		readonly weighing: TypedWeighing | null;
		/** One list a spread, one reading a photo; empty where nothing was graded. */
		readonly spreads: readonly (readonly SpreadReading[])[];
		/** As typed; hand sorts name the place of their spread in `spreads`, counted from 1. */
		readonly checks: readonly CheckInput[];
	}[];
	/** Checks of other runs of the same material, labelled by their ids. */
	readonly lessons: readonly Omit<TaughtCheck, 'photo' | 'id'>[];
}

/** A whole run, worked out; kept as JSON. */
export interface WorkedRun {
	readonly account: RunAccount;
	/** The photos' own tables, by product label (see `labelsOf`); missing where nothing was graded. */
	readonly grades: Readonly<Record<string, GradeTables>>;
	/** Products with a check: all estimates of their copper, by product label. */
	readonly checked: WorkedOutRun['checked'];
	/** Copper locked in insulation as a share of the dry product, by product label. */
	readonly lockedCopper: WorkedOutRun['lockedCopper'];
	/** What the run's hand sorts say about the material. */
	readonly sorting: WorkedOutRun['sorting'];
}

/** A run's account with the draws it was made from: for reruns and for records; large, so never kept on disk. */
export interface DrawnRun {
	readonly account: RunAccount;
	readonly draws: AccountDraws;
	/** Each product's own grade, checks taken in, before the balance touches it; by product label. */
	readonly productDraws: WorkedOutRun['productDraws'];
	readonly toldFrom: WorkedOutRun['toldFrom'];
}

/** What more spreads would do to a product's copper grade; undefined where nothing of it was graded. */
export type CopperNarrowing = ReturnType<typeof copperNarrowingOf>;

/** A run's flow from feed to bins: of dry mass, and of each component that is shown. */
export type RunFlows = Readonly<Record<Flow, FlowDiagram>>;

/** A run to be compared, with what is known of it besides its figures. */
export interface RunToCompare {
	readonly order: AccountOrder;
	readonly about: Omit<ComparableRun, 'account' | 'draws'>;
}

/** A record as it is laid out on paper: its words, the JPEGs of its pictures by checksum, and when it was issued. */
export interface RecordPrint {
	readonly sheet: RecordSheet;
	readonly pictures: ReadonlyMap<string, Uint8Array>;
	readonly paper: RecordPaper;
	readonly dated: Date;
}

/** Runs set against the first one, in figures, and how they lie in the plot. */
export interface ComparedRuns {
	readonly runs: readonly Pick<ComparableRun, 'name' | 'account' | 'lot' | 'lotMark'>[];
	readonly compared: readonly ComparedRun[];
	readonly plot: GradeRecoveryPlot;
}
