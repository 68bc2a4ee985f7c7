import 'server-only';
import type { Store } from './database';
import { findLessons, lessonsAmong } from './lessons';
import { getMaterial } from './materials';
import type { RunLine } from './runs';
import { sha256Of } from './sha256Of';

/** What runs of one material rest on alike. */
interface Shared {
	/** Stands for the material in what their figures rest on. */
	readonly material: string;
	/** What the checks that teach a run stand for in it, as JSON: but for those that hold such checks themselves, runs are taught alike. */
	readonly taught: (runId: string) => string;
	/** Another one where any of it is another. */
	readonly mark: string;
}

/** The same looked up once for as many runs as are asked about together. */
export class SharedInputs {
	private readonly found = new Map<string, Promise<Shared>>();

	constructor(private readonly store: Store) {}

	of({ material, demo }: Pick<RunLine, 'material' | 'demo'>): Promise<Shared> {
		const name = JSON.stringify([material, demo]);
		const found = this.found.get(name) ?? this.find(material, demo);
		this.found.set(name, found);
		return found;
	}

	private async find(name: string, demo: boolean): Promise<Shared> {
		const material = sha256Of(JSON.stringify(await getMaterial(this.store, name)));
		const lessons = await findLessons(this.store, { material: name, demo });
		const teaching = new Set(lessons.all.map(({ lesson }) => lesson.runId));
		const taughtBy = (runId: string) => JSON.stringify(lessonsAmong(lessons, runId).map(({ mark }) => mark));
		const others = taughtBy('');
		const taught = (runId: string) => (teaching.has(runId) ? taughtBy(runId) : others);
		return { material, taught, mark: `${material} ${lessons.mark}` };
	}
}
