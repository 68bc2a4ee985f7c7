import type { Metadata } from 'next';
import { headers } from 'next/headers';
import Link from 'next/link';
import { lanAddresses } from '@/app/_http/lan';
import { seatOf } from '@/app/_http/seat';
import { JoinForm } from '@/app/_parts/JoinForm';
import { yardAsking } from '@/lib/store/askingYard';
import { ownYard } from '@/lib/store/ownYard';

export const metadata: Metadata = { title: 'Join' };

/** Where a phone joins: by the scanned code without a tap, or by typing it. */
export default async function JoinPage() {
	const seat = seatOf(await headers());
	const isShared = ownYard() === undefined;
	const yard = isShared ? yardAsking() : undefined;
	return (
		<>
			<h1>{isShared ? 'Join your yard' : 'Join with this phone'}</h1>
			{seat.kind === 'own' && !isShared ? (
				<p>
					This is the laptop itself; it needs no code.{' '}
					<Link href="/devices">{lanAddresses().length > 0 ? 'Show the code for phones' : 'How phones join'}</Link>
				</p>
			) : (
				<>
					{seat.kind === 'guest' ? null : (
						<p className="narrow">
							This device has joined{yard === undefined ? '' : ` ${yard}`} already. Another code takes it to where that
							code leads.
						</p>
					)}
					<JoinForm isShared={isShared} />
				</>
			)}
		</>
	);
}
