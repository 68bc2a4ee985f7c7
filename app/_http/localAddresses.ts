import type { NetworkInterfaceInfo } from 'node:os';

/** Links that lead to no phone: virtual machines' and containers' own. */
const VIRTUAL = /^(docker|br-|veth|virbr|vmnet|vboxnet|cni|flannel|podman)/;

/** Links by radio, as the systems call them: phones are on these. From memory. */
const WI_FI = /^(wl|wi-?fi)/i;

/**
 * The addresses under which phones on the same network reach this machine: private IPv4 addresses of real links, Wi-Fi's first.
 *
 * A public address is never among them: whoever wants to listen there must name it.
 *
 * @param links - as `os.networkInterfaces()` gives them
 * @source RFC 1918 (private addresses), RFC 3927 (link-local)
 */
export function localAddresses(links: NodeJS.Dict<NetworkInterfaceInfo[]>): readonly string[] {
	return Object.entries(links)
		.filter(([name]) => !VIRTUAL.test(name))
		.sort(([one], [other]) => Number(WI_FI.test(other)) - Number(WI_FI.test(one)))
		.flatMap(([, infos]) => infos ?? [])
		.filter(({ family, internal, address }) => family === 'IPv4' && !internal && isPrivate(address))
		.map(({ address }) => address)
		.sort((a, b) => Number(isLinkLocal(a)) - Number(isLinkLocal(b)));
}

/** Whether this machine has the address now; its network may have changed since it began to listen there. */
export function isStillHere(address: string, links: NodeJS.Dict<NetworkInterfaceInfo[]>): boolean {
	return (
		address.startsWith('127.') || Object.values(links).some((infos) => infos?.some((one) => one.address === address))
	);
}

function isPrivate(address: string): boolean {
	return /^(10\.|192\.168\.|172\.(1[6-9]|2\d|3[01])\.)/.test(address) || isLinkLocal(address);
}

function isLinkLocal(address: string): boolean {
	return address.startsWith('169.254.');
}
