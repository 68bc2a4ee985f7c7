import Link from 'next/link';

/** Lines of a list on one page. Chosen by eye: as many as one scrolls through on a phone. */
const LINES_A_PAGE = 50;

/** Where a page stands in a long list. */
export interface PagePlace {
	/** Counted from 1, the latest first. */
	readonly page: number;
	readonly hasOlder: boolean;
}

/** The part of a long list, latest first, that an address asks for. */
export async function listedAs<Line>(
	query: Readonly<Record<string, string | string[] | undefined>>,
	list: (part: { readonly limit: number; readonly skip: number }) => Promise<readonly Line[]>,
): Promise<PagePlace & { readonly lines: readonly Line[] }> {
	const asked = Number([query.page].flat()[0]);
	const page = Number.isInteger(asked) && asked > 1 && asked < 1e6 ? asked : 1;
	// one more than is shown tells whether there are older ones
	const lines = await list({ limit: LINES_A_PAGE + 1, skip: LINES_A_PAGE * (page - 1) });
	return { lines: lines.slice(0, LINES_A_PAGE), page, hasOlder: lines.length > LINES_A_PAGE };
}

/**
 * The ways on through a long list.
 *
 * @param at - the page's own address, to which the number is added
 */
export function Pages({ page, hasOlder, at, what }: PagePlace & { readonly at: string; readonly what: string }) {
	if (page === 1 && !hasOlder) return null;
	return (
		<nav aria-label={`More ${what}`} className="actions">
			{page === 1 ? null : (
				<Link className="button quiet" href={`${at}page=${page - 1}`}>
					Newer {what}
				</Link>
			)}
			{hasOlder ? (
				<Link className="button quiet" href={`${at}page=${page + 1}`}>
					Older {what}
				</Link>
			) : null}
		</nav>
	);
}
