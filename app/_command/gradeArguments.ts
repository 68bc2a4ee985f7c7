import { parseArgs } from 'node:util';
import type { z } from 'zod';
import { TrayError } from '@/lib/errors/TrayError';
import { cornersTextSchema, fieldTextSchema, type PhotoRequest } from '@/lib/report/photoFile';

export const USAGE = `Use: npm run --silent grade -- [options] PHOTO...
     npm run --silent grade -- [options] --photos FILE.json
     npm run --silent grade -- [options] --run RUN.json
     npm run --silent grade -- [options] --compare RUN1.json RUN2.json ...
     npm run --silent grade -- [options] --history RUN1.json RUN2.json ...
     npm run --silent grade -- [options] --plan SETTING=LOW:HIGH ...
     npm run --silent grade -- [--json] --verify RECORD.json [PHOTO...]

All photos named are spreads of one product.

  --json               one JSON document on standard output and nothing else
  --surface KIND       auto (default), mat or tray
  --corners x1,y1,...  field corners in pixels of the upright photo, clockwise from the top-left (plain tray)
  --field-mm WxH       inner size of the field in millimetres, for example 200x140; a plain tray is not read within a
                       fiftieth of the shorter side from its walls
  --material M         name of a built-in material, or a material file
  --method METHOD      auto (default), threshold or model
  --class-map DIR      write NAME.png per photo: 0 surface, 1 copper, bright or dull, 2 copper, tinned,
                       3 aluminium, 4 insulation, 5 other, 255 not decided
  --photos FILE.json   photos with their own surface, corners and fieldMm
  --run RUN.json       a whole run: feed, products with weights and photos
  --explain            with --run: what each range is made of, and what to measure next
  --prices FILE.json   with --run or --compare: what the run is worth, or which is worth more, at these prices
  --rerun SPLIT        with --run: what feeding the middlings again comes to; SPLIT is own (this run's own split),
                       or a file: another run, or an assumed split ("deckside": "split/1")
  --batch-kg MASS      with --rerun: what building a stock of that much dry middlings ties up
  --compare            the files named are runs; each is set against the first
  --history            the files named are runs: recovery and grade over time, and what settings did
  --plan               a two-level plan of the next runs, for example --plan deckSlopeCrossDeg=4:6 strokesPerMin=280:320
  --half               with --plan: half the runs (three settings or more)
  --times N            with --plan: how often each combination is run
  --seed N             with --plan: seed of the run order
  --verify RECORD.json whether a record's data file, and the photos named, still are what was sealed`;

/** What the command was asked to do. */
export interface GradeArguments {
	readonly json: boolean;
	readonly method: 'auto' | 'threshold' | 'model';
	readonly material: string | undefined;
	readonly classMapFolder: string | undefined;
	readonly photos: readonly PhotoRequest[];
	readonly photoListFile: string | undefined;
	readonly runFile: string | undefined;
	/** Say what the ranges of a run are made of. */
	readonly explain: boolean;
	/** Prices that the run is to be valued at. */
	readonly pricesFile: string | undefined;
	/** Where the split of a rerun is from: `own` or a file; undefined where no rerun was asked for. */
	readonly rerun: string | undefined;
	/** Dry middlings that a stock is built up to, kg. */
	readonly batchKg: number | undefined;
	/** Run files to tell the history of; empty where none was asked for. */
	readonly historyFiles: readonly string[];
	/** Settings of a plan with their levels, as typed; undefined where no plan was asked for. */
	readonly plan:
		| { readonly words: readonly string[]; readonly half: boolean; readonly seed: string; readonly times: string }
		| undefined;
	/** Run files to set against each other, the first against all others; empty where none was asked for. */
	readonly compareFiles: readonly string[];
	/** A record's data file to be checked; the photos named are its originals. */
	readonly recordFile: string | undefined;
}

const options = {
	json: { type: 'boolean', default: false },
	surface: { type: 'string', default: 'auto' },
	corners: { type: 'string' },
	'field-mm': { type: 'string' },
	material: { type: 'string' },
	method: { type: 'string', default: 'auto' },
	'class-map': { type: 'string' },
	photos: { type: 'string' },
	run: { type: 'string' },
	prices: { type: 'string' },
	explain: { type: 'boolean', default: false },
	compare: { type: 'boolean', default: false },
	history: { type: 'boolean', default: false },
	rerun: { type: 'string' },
	'batch-kg': { type: 'string' },
	plan: { type: 'boolean', default: false },
	half: { type: 'boolean', default: false },
	seed: { type: 'string' },
	times: { type: 'string' },
	verify: { type: 'string' },
} as const;

/**
 * Read the command's arguments.
 *
 * @throws TrayError `usage` with a sentence that says which argument is wrong
 */
export function readGradeArguments(given: readonly string[]): GradeArguments {
	const { values, positionals } = parsed(given);
	const surface = oneOf(['auto', 'mat', 'tray'] as const, values.surface, '--surface');
	const corners = values.corners === undefined ? undefined : checked(cornersTextSchema, values.corners, '--corners');
	const fieldMm =
		values['field-mm'] === undefined ? undefined : checked(fieldTextSchema, values['field-mm'], '--field-mm');
	if (values.prices !== undefined && values.run === undefined && !values.compare) {
		throw usage('--prices was given without --run.', 'Prices value a whole run: give --run RUN.json as well.');
	}
	const modes = [values.compare, values.history, values.plan].filter(Boolean).length;
	if (values.verify !== undefined && (modes > 0 || values.photos !== undefined || values.run !== undefined))
		throw usage('--verify was given together with another task.', 'Give --verify RECORD.json and its photos alone.');
	if (modes > 1) throw usage('--compare, --history and --plan were given together.', 'Give one of the three.');
	if (values.compare || values.history) refuseUncomparable(positionals, values);
	if (values.rerun !== undefined && values.run === undefined)
		throw usage('--rerun was given without --run.', 'Give the run whose middlings are fed again: --run RUN.json.');
	if (values['batch-kg'] !== undefined && values.rerun === undefined)
		throw usage('--batch-kg was given without --rerun.', 'Give --rerun own as well.');
	if (values.explain && values.run === undefined)
		throw usage(
			'--explain was given without --run.',
			'It says what the ranges of a run are made of: give --run RUN.json.',
		);
	const ofPlan = values.half
		? 'half'
		: values.seed !== undefined
			? 'seed'
			: values.times !== undefined
				? 'times'
				: undefined;
	if (ofPlan !== undefined && !values.plan)
		throw usage(`--${ofPlan} was given without --plan.`, 'It belongs to a plan of runs.');
	if (corners !== undefined && positionals.length > 1) {
		throw usage('--corners belongs to one photo.', 'Give several photos with their corners in a file, with --photos.');
	}
	const ways = [positionals.length > 0, values.photos !== undefined, values.run !== undefined].filter(Boolean).length;
	if (ways === 0 && values.verify === undefined)
		throw usage(
			values.plan ? 'No setting was named.' : 'No photo was named.',
			values.plan
				? 'Name each with its two levels: --plan deckSlopeCrossDeg=4:6.'
				: 'Name one or more photos, or --photos FILE.json, or --run RUN.json.',
		);
	if (ways > 1) throw usage('Photos, --photos and --run were given together.', 'Give one of the three.');
	return {
		json: values.json,
		method: oneOf(['auto', 'threshold', 'model'] as const, values.method, '--method'),
		material: values.material,
		classMapFolder: values['class-map'],
		photos: (modes > 0 ? [] : positionals).map((photo) => ({
			photo,
			surface,
			corners,
			fieldMm,
			method: undefined,
			material: undefined,
			sha256: undefined,
		})),
		photoListFile: values.photos,
		runFile: values.run,
		explain: values.explain,
		pricesFile: values.prices,
		recordFile: values.verify,
		compareFiles: values.compare ? positionals : [],
		historyFiles: values.history ? positionals : [],
		rerun: values.rerun,
		batchKg: values['batch-kg'] === undefined ? undefined : batchOf(values['batch-kg']),
		plan: values.plan
			? { words: positionals, half: values.half, seed: values.seed ?? '1', times: values.times ?? '1' }
			: undefined,
	};
}

function refuseUncomparable(
	files: readonly string[],
	others: { readonly compare: boolean; readonly photos?: string | undefined; readonly run?: string | undefined },
): void {
	const option = others.compare ? '--compare' : '--history';
	if (others.photos !== undefined || others.run !== undefined)
		throw usage(`${option} was given together with --photos or --run.`, `Name the run files after ${option} alone.`);
	if (files.length < 2)
		throw usage(`${option} needs two run files or more.`, `Name them: ${option} RUN1.json RUN2.json.`);
}

function batchOf(text: string): number {
	const batchKg = Number(text);
	if (batchKg > 0 && batchKg <= 1e6) return batchKg;
	throw usage(`--batch-kg ${text} is not a mass.`, 'Give kilograms above zero.');
}

function parsed(given: readonly string[]) {
	try {
		return parseArgs({ args: [...given], options, allowPositionals: true, strict: true });
	} catch (cause) {
		throw usage(slipIn(cause), 'See the list of options below.');
	}
}

/** What is wrong with the options, in words; those of the platform's parser go on about quotes. */
function slipIn(cause: unknown): string {
	const told = cause instanceof Error ? cause.message : String(cause);
	const option = /'(-{1,2}[\w-]+)/.exec(told)?.[1];
	const code = cause instanceof Error && 'code' in cause ? cause.code : undefined;
	if (option === undefined) return told;
	if (code === 'ERR_PARSE_ARGS_UNKNOWN_OPTION') return `There is no option ${option}.`;
	if (code !== 'ERR_PARSE_ARGS_INVALID_OPTION_VALUE') return told;
	return told.includes('does not take an argument') ? `${option} takes no value.` : `${option} needs a value after it.`;
}

function oneOf<Choice extends string>(choices: readonly Choice[], given: string, option: string): Choice {
	const found = choices.find((choice) => choice === given);
	if (found === undefined) throw usage(`${option} ${given} is not known.`, `Use ${choices.join(', ')}.`);
	return found;
}

function checked<Output>(schema: z.ZodType<Output>, given: string, option: string): Output {
	const result = schema.safeParse(given);
	if (!result.success) throw usage(`${option} ${given} can't be read.`, result.error.issues[0]?.message ?? '');
	return result.data;
}

function usage(message: string, hint: string): TrayError {
	return new TrayError('usage', message, hint);
}
