'use client';

/** Prints the page as it stands. */
export function PrintButton() {
	return (
		<button type="button" className="button quiet" onClick={() => window.print()}>
			Print this page
		</button>
	);
}
