import { notFound } from 'next/navigation';
import { idOf } from '@/app/_forms/idOf';
import { TrayError } from '@/lib/errors/TrayError';

/** Look up what an address names; an address that leads to nothing becomes the page that says so. */
export async function findOr404<Found>(id: string, find: (id: string) => Promise<Found>): Promise<Found> {
	try {
		return await find(idOf(id));
	} catch (error) {
		if (error instanceof TrayError && error.code === 'not-found') notFound();
		throw error;
	}
}
