'use client';

import { useCallback, useMemo, useState } from 'react';
import { teachSpots, unteachSpots } from '@/app/_actions/teachActions';
import { newId } from '@/app/_outbox/newId';
import { toldOf } from '@/lib/errors/TrayError';
import type { Material } from '@/lib/material/material';
import { TAUGHT_CLASSES, type TaughtClass, type TaughtSpot } from '@/lib/material/taughtSpot';
import { type Taught, teachMaterial } from '@/lib/material/teachMaterial';
import type { KeptField } from '@/lib/photo/surfaceAt';
import { CLASS_STYLES } from '@/lib/report/classPalette';
import {
	blankTaughtSentence,
	modelLookSentence,
	READYING,
	SURFACE_TAUGHT,
	taughtName,
	UNREACHED,
} from '@/lib/report/teachSentences';
import { learnBlank, learnSurface } from '@/lib/segmentation/photoLessons';
import { drawEdges, drawPieces, photoDrawer } from './drawPieces';
import { drawSpots } from './drawSpots';
import { PictureStage, type Place } from './PictureStage';
import type { PictureView, StageSize } from './pictureView';
import { Swatch } from './Swatch';
import { TaughtList } from './TaughtList';
import { useImage } from './useImage';
import { useModelLook } from './useModelLook';
import { useTaughtLook } from './useTaughtLook';
import { useTeachingView } from './useTeachingView';
import { type WholeKind, WholePhoto } from './WholePhoto';

/** Radius of a tapped spot on the surface, mm: inside a strand, inside a piece, a patch of bare surface. */
const SPOT_SIZES = [
	{ radiusMm: 0.1, label: 'Strand' },
	{ radiusMm: 0.4, label: 'Piece' },
	{ radiusMm: 1.5, label: 'Patch' },
] as const;

/** What draws outlines: the material's colours, which follow each spot, or the model that photos are graded with. */
const OUTLINES = [
	['colours', 'Show outlines'],
	['model', 'Show what the model sees'],
] as const;

/** A brush leaves a spot wherever it has moved this many radii. */
const BRUSH_STEP = 2.5;

/** Tap or brush spots on a photo, say what they are, and see at once what the program then takes the rest for. */
export function TeachScreen(props: {
	readonly photoId: string;
	readonly field: KeptField & { readonly widthPx: number; readonly heightPx: number };
	readonly name: string;
	readonly base: Material;
	readonly kept: readonly TaughtSpot[];
	/** The bin whose grade the photo counts in; undefined where it counts in none. */
	readonly countsFor?: string;
}) {
	const { photoId, field, name, base, kept, countsFor } = props;
	const [chosen, choose] = useState<TaughtClass>('insulation');
	const [radiusMm, setRadius] = useState<number>(SPOT_SIZES[1].radiusMm);
	const [isBrush, setBrush] = useState(false);
	const [outlined, outline] = useState<'colours' | 'model' | undefined>('colours');
	const { image, problem } = useImage(`/api/photos/${photoId}/picture`);
	const open = useTeachingView(image, field);
	const lessons = useLessons(name, base, kept);
	const { spots, taught, message, add, say } = lessons;
	const photo = useMemo(() => ({ width: field.widthPx, height: field.heightPx }), [field]);
	const pxPerMm = open === undefined ? 0 : open.surface.pxPerMm / open.scale;

	const { edges, paths } = useTaughtLook(open, taught.material, outlined === 'colours');
	const model = useModelLook(open, outlined === 'model');
	const here = useMemo(() => spots.filter((spot) => spot.photo === photoId), [spots, photoId]);
	const drawPhoto = useMemo(() => image && photoDrawer(image, photo), [image, photo]);
	const draw = useCallback(
		(context: CanvasRenderingContext2D, view: PictureView, stage: StageSize) => {
			drawPhoto?.(context, view);
			if (edges !== undefined) drawEdges(context, edges, view);
			drawPieces(context, model.paths ?? paths, view, stage, () => true, undefined);
			drawSpots(context, here, view);
		},
		[drawPhoto, edges, paths, model.paths, here],
	);

	const tap = (place: Place) => {
		if (open === undefined) return;
		const radiusPx = radiusMm * pxPerMm;
		const colours = open.readSpot({
			xPx: place.x * open.scale,
			yPx: place.y * open.scale,
			radiusPx: radiusPx * open.scale,
		});
		if (colours.length === 0)
			return say('Nothing can be learnt there: it is burnt out or off the photo. Tap elsewhere.');
		add([{ id: newId(), photo: photoId, class: chosen, xPx: place.x, yPx: place.y, radiusPx, colours }]);
	};
	const brush = (place: Place) => {
		const last = here.at(-1);
		const step = BRUSH_STEP * radiusMm * pxPerMm;
		if (last === undefined || Math.hypot(last.xPx - place.x, last.yPx - place.y) > step) tap(place);
	};
	const whole = (kind: WholeKind): string => {
		if (open === undefined) return READYING;
		const { raster, surface, light } = open;
		try {
			if (kind === 'surface') {
				add(learnSurface(raster, surface, light, photoId));
				return SURFACE_TAUGHT;
			}
			const blank = learnBlank(raster, surface, light, taught.material, photoId);
			add(blank.spots);
			return blankTaughtSentence(blank.calledCopperFraction);
		} catch (error) {
			return toldOf(error);
		}
	};

	return (
		<div className="spread-viewer">
			<fieldset className="plain">
				<legend className="field-label">What you tap is</legend>
				<ul className="legend">
					{TAUGHT_CLASSES.map((one) => (
						<li key={one}>
							<button type="button" className="choice-button" aria-pressed={chosen === one} onClick={() => choose(one)}>
								{one === 'background' ? null : <Swatch style={CLASS_STYLES[one]} />}
								{taughtName(one)}
							</button>
						</li>
					))}
				</ul>
			</fieldset>
			<PictureStage
				photo={photo}
				label="The photo to teach on"
				draw={draw}
				pick={tap}
				{...(isBrush ? { brush } : {})}
			/>
			<p role="status" className="piece-words">
				{problem ??
					message ??
					model.problem ??
					(outlined === 'model' ? modelLookSentence(model.paths !== undefined) : undefined) ??
					(open === undefined ? READYING : 'Zoom in and tap the middle of a piece. The outlines follow.')}
			</p>
			<fieldset className="plain">
				<legend className="field-label">Size of a spot</legend>
				<div className="legend">
					{SPOT_SIZES.map((size) => (
						<button
							key={size.label}
							type="button"
							className="choice-button"
							aria-pressed={radiusMm === size.radiusMm}
							onClick={() => setRadius(size.radiusMm)}
						>
							{size.label}
						</button>
					))}
				</div>
			</fieldset>
			<div className="legend">
				<button type="button" className="choice-button" aria-pressed={isBrush} onClick={() => setBrush(!isBrush)}>
					Brush: spots wherever you drag
				</button>
				{OUTLINES.map(([kind, label]) => (
					<button
						key={kind}
						type="button"
						className="choice-button"
						aria-pressed={outlined === kind}
						onClick={() => outline(outlined === kind ? undefined : kind)}
					>
						{label}
					</button>
				))}
			</div>
			<TaughtList lessons={lessons} photoId={photoId} />
			<WholePhoto
				photoId={photoId}
				{...(countsFor === undefined ? {} : { countsFor })}
				isTaught={here.some(({ radiusPx: drawn }) => drawn === 0)}
				teach={whole}
			/>
		</div>
	);
}

/** What was taught so far, with the material that it makes. */
export interface OpenLessons {
	readonly spots: readonly TaughtSpot[];
	readonly taught: Taught;
	readonly message: string | undefined;
	readonly undone: readonly TaughtSpot[];
	readonly add: (spots: readonly TaughtSpot[]) => void;
	readonly undo: (ids: readonly string[]) => void;
	readonly redo: () => void;
	readonly say: (message: string) => void;
}

/** Spots are shown at once and kept on the server behind that; what could not be kept is taken back and said. */
function useLessons(name: string, base: Material, kept: readonly TaughtSpot[]): OpenLessons {
	const [spots, set] = useState(kept);
	const [undone, setUndone] = useState<readonly TaughtSpot[]>([]);
	const [message, say] = useState<string | undefined>(undefined);
	const taught = useMemo(() => teachMaterial(base, name, spots), [base, name, spots]);
	const without = (ids: readonly string[]) => (all: readonly TaughtSpot[]) => all.filter(({ id }) => !ids.includes(id));
	const send = async (work: Promise<{ readonly problem?: string }>, takeBack: () => void) => {
		const problem = await work.then(
			(answer) => answer.problem,
			() => UNREACHED,
		);
		if (problem === undefined) return;
		takeBack();
		say(problem);
	};
	const add = (more: readonly TaughtSpot[]) => {
		const ids = more.map(({ id }) => id);
		say(undefined);
		set((all) => [...without(ids)(all), ...more]);
		void send(teachSpots(name, more), () => set(without(ids)));
	};
	const undo = (ids: readonly string[]) => {
		const gone = spots.filter(({ id }) => ids.includes(id));
		say(undefined);
		set(without(ids));
		setUndone(gone);
		void send(unteachSpots(name, ids), () => set((all) => [...all, ...gone]));
	};
	const redo = () => {
		add(undone);
		setUndone([]);
	};
	return { spots, taught, message, undone, add, undo, redo, say };
}
