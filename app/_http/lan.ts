/** The addresses at which phones on the local network reach this server; empty when it listens on this machine only. */
export function lanAddresses(): readonly string[] {
	return (process.env.DECKSIDE_LAN ?? '').split(',').filter((address) => address !== '');
}
