import { parentPort } from 'node:worker_threads';
import { helpOut, type PartnerOrder } from './networkPartner';

/** The thread that helps with a network, one picture at a time. */
parentPort?.on('message', (order: PartnerOrder) => helpOut(order));
