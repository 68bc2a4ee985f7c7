/** A device that has joined: whose data it sees, and whether it does what else only the laptop does. */
export interface Session {
	readonly deviceId: string;
	readonly yardId: string;
	readonly isOffice: boolean;
}

/** What the server in front of the app asks about joined devices. */
export interface DeviceDoor {
	/** The device that was given this token, unless it was forgotten or stayed away too long. */
	sessionOf(token: string): Promise<Session | undefined>;
	/** Remember that an answer to a device is under way, so that it can be cut off. */
	hold(deviceId: string, answer: Answer): void;
	/** Devices to which an answer is under way. */
	held(): readonly string[];
	/** Cut off what is under way to a device. */
	letGo(deviceId: string): void;
}

interface Answer {
	once(event: 'close', listener: () => void): unknown;
	destroy(): unknown;
}

/** On the global object: the server in front and the app are built apart and run in one process. */
const holder = globalThis as typeof globalThis & { decksideDoor?: DeviceDoor };

/** The door, once the app has opened its data. */
export function deviceDoor(): DeviceDoor | undefined {
	return holder.decksideDoor;
}

/** Open the door with a way of looking up devices. */
export function openDeviceDoor(sessionOf: DeviceDoor['sessionOf']): DeviceDoor {
	const answers = new Map<string, Set<Answer>>();
	const door: DeviceDoor = {
		sessionOf,
		hold(deviceId, answer) {
			const held = answers.get(deviceId) ?? new Set();
			answers.set(deviceId, held.add(answer));
			answer.once('close', () => {
				held.delete(answer);
				if (held.size === 0 && answers.get(deviceId) === held) answers.delete(deviceId);
			});
		},
		held: () => [...answers.keys()],
		letGo(deviceId) {
			for (const answer of answers.get(deviceId) ?? []) answer.destroy();
		},
	};
	holder.decksideDoor = door;
	return door;
}
