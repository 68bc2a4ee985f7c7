import aruco from 'js-aruco2';
import 'js-aruco2/src/dictionaries/aruco_4x4_1000.js';

/** Name under which the dictionary is registered with the detector. */
export const MARKER_DICTIONARY = 'DICT_4X4_50';

/** Modules along one side of a mark: four of code and one of black border on either side. */
export const MODULES_PER_SIDE = 6;

const CODES = 50;

const { AR } = aruco;
const thousand = AR.DICTIONARIES.ARUCO_4X4_1000!; // registered by the import above
AR.DICTIONARIES[MARKER_DICTIONARY] = { ...thousand, codeList: thousand.codeList.slice(0, CODES) };

/**
 * Which of a mark's 6 x 6 modules are white, row by row from its top-left; the outer ring is black.
 *
 * @source OpenCV's predefined dictionary DICT_4X4_50, as shipped with js-aruco2 (16 bits a code, first row first)
 * @throws RangeError for an id outside 0 to 49
 */
export function whiteModules(id: number): readonly (readonly boolean[])[] {
	const code = AR.DICTIONARIES[MARKER_DICTIONARY]!.codeList[id];
	if (!code) throw new RangeError(`id: 0 to ${CODES - 1} expected, got ${id}`);
	const bits = code.flatMap((byte) => [...byte.toString(2).padStart(8, '0')].map((bit) => bit === '1'));
	return Array.from({ length: MODULES_PER_SIDE }, (_, row) =>
		Array.from({ length: MODULES_PER_SIDE }, (_, column) => {
			const inside = row > 0 && row < 5 && column > 0 && column < 5;
			return inside && bits[4 * (row - 1) + column - 1] === true;
		}),
	);
}
