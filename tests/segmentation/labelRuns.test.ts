import { expect, test } from 'vitest';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { joinRuns, joinSlowly, runsOf, runsWhere } from '@/lib/segmentation/labelRuns';

/** Labels that hang together in winding patches, as rows of random steps. */
function winding(width: number, height: number, classes: number, purpose: string): Uint8Array {
	const random = seededRandom(4, purpose);
	const labels = new Uint8Array(width * height);
	for (let i = 0; i < labels.length; i++) {
		const kept = random.uniform();
		if (kept < 0.45 && i % width > 0) labels[i] = labels[i - 1]!;
		else if (kept < 0.85 && i >= width) labels[i] = labels[i - width]!;
		else labels[i] = Math.floor(classes * random.uniform());
	}
	return labels;
}

test('the kernel joins runs as going run by run does', () => {
	for (const [width, height, classes] of [
		[97, 83, 2],
		[64, 50, 5],
		[1, 40, 2],
		[300, 1, 3],
	] as const) {
		const runs = runsOf(winding(width, height, classes, `${width}`), width, height);
		for (const neighbours of [4, 8] as const) {
			const ours = joinRuns(runs, neighbours);
			expect(ours).toEqual(joinSlowly(runs, neighbours));
			expect(ours.count).toBeGreaterThan(1);
		}
	}
	expect(joinRuns(runsOf(new Uint8Array(30), 6, 5)).count).toBe(0);
});

test('wanted runs are those of the wanted labels, and all of them where all are wanted', () => {
	const runs = runsOf(winding(50, 40, 4, 'wanted'), 50, 40);
	expect(runsWhere(runs, () => true)).toBe(runs);
	const some = runsWhere(runs, (label) => label === 2);
	const places = Array.from(runs.start.keys()).filter((run) => runs.label[run] === 2);
	expect([...some.start]).toEqual(places.map((run) => runs.start[run]));
	expect([...some.end]).toEqual(places.map((run) => runs.end[run]));
	expect(some.count).toBe(some.firstOfRow[40]);
	for (let row = 0; row < 40; row++)
		for (let run = some.firstOfRow[row]!; run < some.firstOfRow[row + 1]!; run++)
			expect(Math.floor(some.start[run]! / 50)).toBe(row);
});
