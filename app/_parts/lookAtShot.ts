import type { ShotAnswer, ShotQuestion } from './shotWorker';

/** Fetch the code of the quick look beforehand, so that a shot is looked at also where the link has gone meanwhile. */
export function readyToLook(): void {
	void lookAtShot({ file: new Blob(), finestStrandMm: 0 });
}

/**
 * A quick look at a photo, off the main thread; its code is loaded the first time it is used.
 *
 * @returns undefined where this browser can't show such a picture; the full reading says more then
 */
export function lookAtShot(question: ShotQuestion): Promise<Extract<ShotAnswer, { ok: true }> | undefined> {
	return new Promise((resolve) => {
		const worker = new Worker(new URL('./shotWorker.ts', import.meta.url), { type: 'module' });
		const end = (answer: ShotAnswer | undefined) => {
			worker.terminate();
			resolve(answer?.ok ? answer : undefined);
		};
		worker.onmessage = ({ data }: MessageEvent<ShotAnswer>) => end(data);
		worker.onerror = () => end(undefined);
		worker.postMessage(question);
	});
}
