import { type NextRequest, NextResponse } from 'next/server';
import { ZONE_COOKIE } from '@/app/_http/presentRequest';
import { refuseForeign } from '@/app/_http/refuseForeign';
import { presentationFor } from '@/lib/report/presentation';

const YEAR_S = 365 * 24 * 3600;

/** Keep on the device which time zone it is in, as its browser says: an IANA name, `name` in the address. Others change nothing. */
export function PUT(request: NextRequest): Response {
	const foreign = refuseForeign(request);
	if (foreign !== undefined) return foreign;
	const name = request.nextUrl.searchParams.get('name') ?? undefined;
	const { timeZone } = presentationFor(undefined, undefined, name);
	const answer = new NextResponse(null, { status: 204 });
	if (timeZone !== undefined) {
		answer.cookies.set(ZONE_COOKIE, timeZone, { maxAge: YEAR_S, sameSite: 'lax', path: '/', httpOnly: true });
	}
	return answer;
}
