import { networkInterfaces } from 'node:os';
import { isStillHere } from './localAddresses';

/** The addresses at which phones on the local network reach this server; empty when it listens on this machine only. */
export function lanAddresses(): readonly string[] {
	return (process.env.DECKSIDE_LAN ?? '').split(',').filter((address) => address !== '');
}

/** Those of them that this machine still has, since Wi-Fis give other addresses now and then. */
export function addressesNow(): readonly string[] {
	const links = networkInterfaces();
	return lanAddresses().filter((address) => isStillHere(new URL(address).hostname, links));
}
