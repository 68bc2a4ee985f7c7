/**
 * Whether browsers refuse a port whoever listens there: programs of other kinds use it. Node refuses the same ones by itself.
 *
 * @param {number} port - one that nothing listens at on this machine
 * @returns {Promise<boolean>}
 * @source WHATWG Fetch, port blocking
 */
export function isBlockedPort(port) {
	return fetch(`http://127.0.0.1:${port}`, { method: 'HEAD' }).then(
		() => false,
		({ cause }) => cause?.message === 'bad port',
	);
}
