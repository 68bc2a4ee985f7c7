/** Shape of the one function that the colour checks borrow. */
declare module 'culori' {
	interface Lab65 {
		readonly mode: 'lab65';
		readonly l: number;
		readonly a: number;
		readonly b: number;
	}
	export function differenceCiede2000(): (one: Lab65, two: Lab65) => number;
}
