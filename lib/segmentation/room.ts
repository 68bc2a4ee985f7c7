/** Bytes that stay from photo to photo, for what is used up before anything waits: arrays made anew let the engine collect sooner. */
export class Room {
	private held = new ArrayBuffer(0);
	/** So many bytes, which hold anything; good until they are asked for again. */
	bytes(count: number): Uint8Array {
		return new Uint8Array(this.atLeast(count), 0, count);
	}
	/** The same in whole numbers. */
	words(count: number): Int32Array {
		return new Int32Array(this.atLeast(4 * count), 0, count);
	}
	private atLeast(bytes: number): ArrayBuffer {
		if (this.held.byteLength < bytes) this.held = new ArrayBuffer(bytes);
		return this.held;
	}
}
