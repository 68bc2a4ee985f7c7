'use client';

import PageFailed from './error';
import './look.css';

/** When even the frame round the page cannot be shown: a whole page of its own, with the way back. */
export default function FrameFailed({ error }: { readonly error: Error & { readonly digest?: string } }) {
	return (
		<html lang="en-GB">
			<body>
				<title>Deckside</title>
				<header className="top">
					<div className="top-inside">
						<span className="house">Deckside</span>
					</div>
				</header>
				<main id="main">
					<PageFailed error={error} reset={() => window.location.reload()} />
				</main>
			</body>
		</html>
	);
}
