/** Shapes of two packages that ship without types: only what this program calls. */
declare module 'js-aruco2' {
	interface DetectedMarker {
		readonly id: number;
		readonly corners: readonly { readonly x: number; readonly y: number }[];
		readonly hammingDistance: number;
	}
	const aruco: {
		readonly AR: {
			readonly DICTIONARIES: Record<
				string,
				{ nBits: number; tau: number | null; codeList: readonly (readonly number[])[] }
			>;
			readonly Detector: new (config: {
				dictionaryName: string;
				maxHammingDistance?: number;
			}) => {
				/** What it works on: one number a pixel, and with a rim of one pixel. */
				readonly grey: { data: ArrayLike<number> };
				readonly thres: { data: ArrayLike<number> };
				binary: ArrayLike<number>;
				detectImage(width: number, height: number, rgba: Uint8ClampedArray): readonly DetectedMarker[];
			};
		};
	};
	export default aruco;
}

declare module 'js-aruco2/src/dictionaries/aruco_4x4_1000.js';

declare module 'libheif-js/wasm-bundle' {
	const libheif: {
		readonly HeifDecoder: new () => { decode(bytes: Uint8Array): never[] | null };
	};
	export default libheif;
}
