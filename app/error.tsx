'use client';

import { STORAGE_SENTENCES, storageTroubleOf } from '@/lib/report/storageSentences';

/** When a page cannot be shown: what is safe and what to do. */
export default function PageFailed({
	error,
	reset,
}: {
	readonly error: Error & { readonly digest?: string };
	readonly reset: () => void;
}) {
	const trouble = storageTroubleOf(error.digest);
	return (
		<>
			<h1>{trouble === undefined ? 'This page could not be shown' : 'The data cannot be reached just now'}</h1>
			{trouble === undefined ? (
				<p className="narrow">
					What was saved is safe.{' '}
					{isOfLink(error)
						? "The laptop does not answer. See that this device is on the laptop's Wi-Fi and that Deckside runs, then try again."
						: error.digest === undefined
							? 'Something broke in this browser: try again, and open the page anew if it comes back.'
							: 'The reason stands in the window that Deckside was started from.'}
				</p>
			) : (
				<p role="alert" className="narrow">
					{STORAGE_SENTENCES[trouble].message} {STORAGE_SENTENCES[trouble].hint}
				</p>
			)}
			<button type="button" className="button main" onClick={reset}>
				Try again
			</button>
		</>
	);
}

/** A request that got no answer. Browsers say it in words of their own: Failed to fetch, Load failed, NetworkError. */
function isOfLink(error: Error & { readonly digest?: string }): boolean {
	return error.digest === undefined && error instanceof TypeError && /fetch|load failed|network/i.test(error.message);
}
