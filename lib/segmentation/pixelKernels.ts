import { bareApart } from './bareCode';
import { countPieces, labelPieces, outvotePieces } from './cellCode';
import { coveredSums } from './coveredCode';
import { halve } from './halveKernel';
import { insideOf } from './insideCode';
import { joinRuns } from './joinCode';
import { kernelsOf } from './kernelMemory';
import { cutRow } from './runCode';
import { levelRuns, outsideSquares, squareCorners, squareRows } from './squareCode';
import { eachTwice } from './twiceCode';

/** What passes over a photo's pixels are made of; what each does stands with its code. */
interface PixelFunctions {
	bareApart(labels: number, thin: number, into: number, stride: number, sixteens: number): void;
	countPieces(
		pieces: number,
		count: number,
		photo: number,
		steps: number,
		clipped: number,
		leastClipped: number,
		counts: number,
	): void;
	labelPieces(
		pieces: number,
		count: number,
		photo: number,
		steps: number,
		clipped: number,
		leastClipped: number,
		codes: number,
		labels: number,
	): void;
	outvotePieces(
		pieces: number,
		count: number,
		photo: number,
		steps: number,
		clipped: number,
		leastClipped: number,
		logs: number,
		labels: number,
		label: number,
	): void;
	coveredSums(
		starts: number,
		ends: number,
		runs: number,
		cover: number,
		widths: number,
		areas: number,
		widthAreas: number,
	): void;
	joinRuns(
		starts: number,
		ends: number,
		labels: number,
		rows: number,
		height: number,
		runs: number,
		width: number,
		reach: number,
		parents: number,
		regions: number,
	): void;
	insideOf(labels: number, width: number, into: number, label: number, sixteens: number): void;
	halve(upper: number, lower: number, light: number, into: number, pixels: number, codes: number): void;
	cutRow(
		labels: number,
		inside: number,
		width: number,
		base: number,
		starts: number,
		ends: number,
		kinds: number,
		counter: number,
	): void;
	levelRuns(labels: number, into: number, sixteens: number): void;
	squareCorners(runs: number, labels: number, stride: number, into: number, sixteens: number): void;
	squareRows(corners: number, into: number, sixteens: number): void;
	eachTwice(from: number, into: number, sixteens: number): void;
	outsideSquares(rows: number, labels: number, stride: number, kept: number, into: number, sixteens: number): void;
}

export const pixelKernels = kernelsOf<PixelFunctions>([
	bareApart,
	countPieces,
	labelPieces,
	outvotePieces,
	insideOf,
	halve,
	cutRow,
	levelRuns,
	squareCorners,
	squareRows,
	outsideSquares,
	eachTwice,
	joinRuns,
	coveredSums,
]);
