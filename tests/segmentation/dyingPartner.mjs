// A partner's thread that comes to an end while it helps with a network: `workerData` says where and how.
import { parentPort, workerData } from 'node:worker_threads';
import { register } from 'tsx/esm/api';

/** `where`: in the middle of the so-manieth step of a kind, with the board's lock, or idle. `state`: 0 at work, 1 nothing to do for now, 2 at its end. */
const { where, steps, how, state } = workerData;
if (where === 'start') throw new Error('ends at its start');

register();
const { Runner } = await import('../../lib/segmentation/networkRunner.ts');
const { NetworkBoard } = await import('../../lib/segmentation/networkBoard.ts');
const { helpOut } = await import('../../lib/segmentation/networkPartner.ts');

const tell = (now) => {
	Atomics.store(state, 0, now);
	Atomics.notify(state, 0);
};

const ends = {
	throws() {
		throw new Error('ends in the middle');
	},
	exits() {
		process.exit(3);
	},
	outOfMemory() {
		for (const held = []; ; ) held.push(new Array(1000).fill(held.length));
	},
	isEnded() {
		parentPort.postMessage('end me');
		for (;;);
	},
};
function end() {
	left = -1;
	tell(2);
	ends[how]();
}

let left = steps;
const { write } = Runner.prototype;
Runner.prototype.write = function (step, rows) {
	write.call(this, step, rows);
	if (step.kind === where && --left === 0) end();
};
const { claim, rest } = NetworkBoard.prototype;
NetworkBoard.prototype.claim = function () {
	if (where === 'lock' && --left === 0) this.look = end;
	return claim.call(this);
};
NetworkBoard.prototype.rest = function (seen, ms) {
	if (where === 'idle' && --left === 0) end();
	tell(1);
	const came = rest.call(this, seen, ms);
	tell(0);
	return came;
};

parentPort.on('message', helpOut);
