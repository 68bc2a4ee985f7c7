import { Worker } from 'node:worker_threads';
import { afterAll, afterEach, expect, test, vi } from 'vitest';
import { seededRandom } from '@/lib/quantity/seededRandom';
import { MODEL_FOLDER, modelSource } from '@/lib/segmentation/modelFiles';
import { helperOf, helpOut, type NetworkPartner, type PartnerOrder } from '@/lib/segmentation/networkPartner';
import { loadPixelModel, type PixelModel } from '@/lib/segmentation/pixelModel';
import { startPartnersBy, threadPartner } from '@/lib/segmentation/threadPartner';
import { type ModelPicture, predict, rowsOf } from './modelPicture';

const source = await modelSource(MODEL_FOLDER);
const alone = await loadPixelModel(source);

const withPartner = (partner: NetworkPartner): Promise<PixelModel> => loadPixelModel(source, undefined, partner);

function words(value: number): Int32Array<SharedArrayBuffer> {
	return new Int32Array(new SharedArrayBuffer(4)).fill(value);
}

const isThere = async () => true;

/** Noise, so that no two rows are alike. */
function noise(width: number, height: number, seed: number): ModelPicture {
	const random = seededRandom(seed, 'network partner');
	return { width, height, linear: Float32Array.from({ length: 3 * width * height }, () => random.uniform()) };
}

/** What `predict` says; `asked` is called whenever a row of the picture is wanted. */
async function predictAsked(model: PixelModel, picture: ModelPicture, asked: () => void): Promise<Float32Array> {
	const out = new Float32Array(6 * picture.width * picture.height);
	const { width, height, open } = rowsOf(picture);
	const openAsked = () => {
		const rowOf = open();
		return (y: number) => {
			asked();
			return rowOf(y);
		};
	};
	await model.read({ width, height, open: openAsked }, (row, shares) => out.set(shares, 6 * width * row));
	return out;
}

/** Sizes whose rows end in tiles of all kinds; the first again last, on memory that others have used. */
const SIZES = [
	[104, 72],
	[40, 136],
	[8, 8],
	[104, 72],
] as const;

/** A partner on this very thread: its steps are written when the picture's rows are asked for, as many as chance says. */
function partnerHere(seed: number) {
	const random = seededRandom(seed, 'whose step');
	let helper: ReturnType<typeof helperOf> | undefined;
	let steps = 0;
	const partner: NetworkPartner = {
		spare: words(1),
		help(order) {
			helper = helperOf(order);
			return true;
		},
		isThere,
	};
	return {
		partner,
		steps: () => steps,
		work() {
			while (helper !== undefined && random.uniform() < 0.9) if (helper.writeOne()) steps++;
		},
	};
}

test('rows that a partner writes are the same bit by bit, in whatever order the two take them', async () => {
	for (const seed of [1, 2, 3]) {
		const { partner, steps, work } = partnerHere(seed);
		const model = await withPartner(partner);
		for (const [width, height] of SIZES) {
			const picture = noise(width, height, seed);
			expect(await predictAsked(model, picture, work)).toEqual(await predict(alone, picture));
		}
		expect(steps()).toBeGreaterThan(100);
	}
});

const thread = new Worker('./app/_command/networkThread.mjs');
afterAll(() => thread.terminate());
afterEach(() => vi.restoreAllMocks());

test('so are those of a thread of its own, which leaves each picture when it is done', async () => {
	const orders: PartnerOrder[] = [];
	const model = await withPartner({
		spare: words(1),
		help(order) {
			orders.push(order);
			thread.postMessage(order);
			return true;
		},
		isThere,
	});
	const untilHelped = () => {
		const { board } = helperOf(orders.at(-1)!);
		for (let seen = board.changes(); !board.isHelped(); seen = board.changes()) board.rest(seen, 100);
	};
	for (const [width, height] of SIZES) {
		const picture = noise(width, height, 7);
		expect(await predictAsked(model, picture, untilHelped)).toEqual(await predict(alone, picture));
	}
	expect(orders).toHaveLength(SIZES.length);
	for (const order of orders) expect(helperOf(order).board.enter()).toBe(false);
});

test('a partner is not asked while all processors are busy, and one that comes too late finds nothing to do', async () => {
	const orders: PartnerOrder[] = [];
	const spare = words(0);
	const model = await withPartner({ spare, help: (order) => orders.push(order) > 0, isThere });
	const picture = noise(24, 16, 8);
	expect(await predict(model, picture)).toEqual(await predict(alone, picture));
	expect(orders).toHaveLength(0);
	spare[0] = 1;
	expect(await predict(model, picture)).toEqual(await predict(alone, picture));
	for (const order of orders) helpOut(order);
	expect(orders).toHaveLength(1);
});

test('a picture that is given up leaves the next one as it would be', async () => {
	const { partner, work } = partnerHere(4);
	const model = await withPartner(partner);
	const picture = noise(40, 136, 9);
	const failing = predictAsked(model, picture, () => {
		work();
		throw new RangeError('no more rows');
	});
	await expect(failing).rejects.toThrow('no more rows');
	expect(await predictAsked(model, picture, work)).toEqual(await predict(alone, picture));
});

/** Where the partner's thread comes to its end: see dyingPartner.mjs. Steps that add to what stands there can't be done twice. */
const ENDS = [
	{ where: 'start', how: 'throws', steps: 0 },
	{ where: 'convolve', how: 'throws', steps: 1 },
	{ where: 'convolveOnto', how: 'exits', steps: 2 },
	{ where: 'widenOnto', how: 'isEnded', steps: 5 },
	{ where: 'mix', how: 'outOfMemory', steps: 9 },
	{ where: 'idle', how: 'exits', steps: 3 },
	{ where: 'lock', how: 'isEnded', steps: 20 },
	{ where: 'lock', how: 'exits', steps: 40 },
] as const;

test.each(ENDS)('a thread that ends ($where, $how) costs the photo nothing', async (end) => {
	const state = words(0);
	const started: Worker[] = [];
	startPartnersBy((options) => {
		const resourceLimits = { ...options.resourceLimits, maxOldGenerationSizeMb: 64 };
		const workerData = { ...end, state };
		const dying = new Worker('./tests/segmentation/dyingPartner.mjs', { resourceLimits, workerData });
		dying.on('message', () => dying.terminate());
		started.push(dying);
		return dying;
	});
	const told = vi.spyOn(console, 'error').mockReturnValue();
	const model = await withPartner(threadPartner(words(1)));
	const picture = noise(104, 72, 11);
	// all steps are left to the thread until it ends
	const untilIdle = () => {
		if (end.where !== 'start') Atomics.wait(state, 0, 0);
	};
	expect(await predictAsked(model, picture, untilIdle)).toEqual(await predict(alone, picture));
	expect(state[0]).toBe(end.where === 'start' ? 0 : 2);
	// word of a thread's end comes when the machine has time for it
	await vi.waitFor(() => expect(told).toHaveBeenCalledOnce(), 60_000);
	// nobody is started for the next one
	expect(await predict(model, picture)).toEqual(await predict(alone, picture));
	expect(started).toHaveLength(1);
	expect(told).toHaveBeenCalledOnce();
});
