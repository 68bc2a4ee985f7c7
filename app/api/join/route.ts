import { z } from 'zod';
import { answerErrors } from '@/app/_http/answerErrors';
import { deviceCookie } from '@/app/_http/deviceCookie';
import { deviceNameOf } from '@/app/_http/deviceName';
import { lanAddresses } from '@/app/_http/lan';
import { readSmallJson } from '@/app/_http/readSmallJson';
import { refuseForeign } from '@/app/_http/refuseForeign';
import { addressOf, isEncrypted } from '@/app/_http/seat';
import { TrayError } from '@/lib/errors/TrayError';
import { Attempts, JOIN_RULES, YARDS_JOIN_RULES } from '@/lib/store/attempts';
import { addDevice } from '@/lib/store/devices';
import { ownYard } from '@/lib/store/ownYard';
import { storeOfCode } from '@/lib/store/theStore';

const joinSchema = z.object({ code: z.string().max(40), name: z.string().max(200).optional() });

/** On the global object: every copy of this module counts the same tries. */
const holder = globalThis as typeof globalThis & { decksideAttempts?: Attempts };

/** Let a device in that shows the access code: it gets a cookie of its own. Wrong codes are counted. */
export const POST = answerErrors(async (request: Request) => {
	const foreign = refuseForeign(request);
	if (foreign !== undefined) return foreign;
	const isShared = ownYard() === undefined;
	if (lanAddresses().length === 0 && !isShared) {
		throw new TrayError('not-found', 'Deckside listens on this machine only.', 'Start it with: npm start -- --lan');
	}
	const { code, name } = await readSmallJson(request, joinSchema, 2000);
	holder.decksideAttempts ??= new Attempts(isShared ? YARDS_JOIN_RULES : JOIN_RULES);
	const from = addressOf(request.headers);
	const waitMs = holder.decksideAttempts.take(from, Date.now());
	if (waitMs > 0) return tooMany(waitMs);
	const found = await storeOfCode(code);
	if (found === undefined) {
		const hint = isShared ? 'Type the code that your yard was given.' : 'Type the code that stands on the laptop now.';
		throw new TrayError('not-allowed', 'This is not the code.', hint);
	}
	holder.decksideAttempts.forgive(from);
	const { store, isOffice } = found;
	const called = name?.trim() || deviceNameOf(request.headers.get('user-agent'));
	const token = await addDevice(store, called, { isOffice });
	store.changes.announce();
	const headers = { 'set-cookie': deviceCookie(token, isEncrypted(request.headers)), 'cache-control': 'no-store' };
	return Response.json({ joined: true }, { status: 201, headers });
});

function tooMany(waitMs: number): Response {
	const minutes = Math.ceil(waitMs / 60_000);
	return Response.json(
		{ message: 'Too many wrong codes.', hint: `Try again in ${minutes} ${minutes === 1 ? 'minute' : 'minutes'}.` },
		{ status: 429, headers: { 'retry-after': String(Math.ceil(waitMs / 1000)), 'cache-control': 'no-store' } },
	);
}
