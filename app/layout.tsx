import type { Metadata, Viewport } from 'next';
import { headers } from 'next/headers';
import Link from 'next/link';
import type { ReactNode } from 'react';
import { yardAsking } from '@/lib/store/askingYard';
import { HOME_YARD } from '@/lib/store/ownYard';
import { presentationOfRequest, presentRequests } from './_http/presentRequest';
import { seatOf } from './_http/seat';
import { NavLinks } from './_parts/NavLinks';
import { OutboxBar } from './_parts/OutboxBar';
import { PresentHere } from './_parts/PresentHere';
import { StayWhileUnanswered } from './_parts/StayWhileUnanswered';
import { TellTimeZone } from './_parts/TellTimeZone';
import './look.css';
import './table.css';

export const metadata: Metadata = {
	title: { default: 'Deckside', template: '%s - Deckside' },
	description: 'Grades, recoveries and a closed balance for a wet shaking table, from tray photos and bin weights.',
};

export const viewport: Viewport = { width: 'device-width', initialScale: 1 };

/** Every page's frame. Pages read the store on each request, so nothing is made ahead at build time. */
export const dynamic = 'force-dynamic';

presentRequests();

export default async function Shell({ children }: { readonly children: ReactNode }) {
	const guest = seatOf(await headers()).kind === 'guest';
	const yard = yardAsking();
	const presentation = await presentationOfRequest();
	return (
		<html lang="en-GB">
			<body>
				<PresentHere presentation={presentation} />
				{guest ? null : <TellTimeZone known={presentation.timeZone} />}
				<a className="skip" href="#main">
					To the page's content
				</a>
				<header className="top">
					<div className="top-inside">
						{guest ? (
							<span className="house">Deckside</span>
						) : (
							<>
								<a className="house" href="/">
									Deckside
								</a>
								<NavLinks />
							</>
						)}
					</div>
				</header>
				<OutboxBar />
				<StayWhileUnanswered />
				<main id="main">{children}</main>
				<footer className="foot">
					<p>Estimated from photos and weights: an estimate, not an assay. Settle on an assay.</p>
					{guest ? null : (
						<p>
							{yard === undefined || yard === HOME_YARD ? null : <>Yard: {yard} &middot; </>}
							<Link href="/units">Units and numbers</Link> &middot; <Link href="/licences">Licences</Link>
						</p>
					)}
				</footer>
			</body>
		</html>
	);
}
