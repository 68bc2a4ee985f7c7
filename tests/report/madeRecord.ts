import { generateKeyPairSync, sign } from 'node:crypto';
import { type CleanlinessRecord, recordSchema, type SealedRecord } from '@/lib/report/recordSchema';
import { sealRecord } from '@/lib/store/sealRecord';

const SOURCE = { title: 'made for a test', year: '2026' };

/** An invented record with everything that a record can hold. */
export function madeRecord(changes: Partial<CleanlinessRecord> = {}): CleanlinessRecord {
	return recordSchema.parse({
		deckside: 'record/1',
		number: '20260512-7K2QM',
		issuedAt: '2026-05-12T09:30:00.000Z',
		issuer: { name: 'Invented yard', responsible: 'A. Person' },
		demo: false,
		product: { name: 'Concentrate 1', role: 'concentrate' },
		lot: { name: 'Lot A' },
		run: { name: 'Run 15', date: '2026-05-11' },
		dryMassKg: { value: 4.1202, low: 4.1101, high: 4.1303 },
		sampling: { words: 'Small scoops from several depths of the mixed bin', scoops: 12 },
		composition: {
			copper: { value: 0.96321, low: 0.94377, high: 0.97911 },
			freeCopper: { value: 0.95987, low: 0.94011, high: 0.97654 },
			aluminium: { value: 0.0011, low: 0, high: 0.0046, belowDetectionLimit: true },
			insulation: { value: 0.02312, low: 0.01287, high: 0.03499 },
			other: { value: 0.01257, low: 0.00441, high: 0.02398 },
		},
		rule: { kind: 'guarded', risk: 0.05 },
		standings: [
			{
				id: 'cobra',
				kind: 'tradeCode',
				name: 'Cobra',
				item: 'No. 2 copper wire nodules',
				limits: [
					{
						share: 'copper',
						side: 'least',
						fraction: 0.97,
						isOnEach: false,
						source: SOURCE,
						measured: { value: 0.96321, low: 0.94377, high: 0.97911 },
						probability: 0.23175,
						verdict: 'notDecided',
						settlement: { kind: 'spreads', more: 6, readsAt: 0.9848 },
					},
					{
						share: 'insulation',
						side: 'most',
						fraction: 0.01,
						isOnEach: false,
						source: SOURCE,
						measured: { value: 0.02312, low: 0.01287, high: 0.03499 },
						probability: 0.00025,
						verdict: 'doesNotMeet',
					},
				],
				closest: 1,
				conditions: ['something that no photo shows'],
			},
		],
		seen: { spreads: 2, photos: 2, granules: 1240, areaMm2: 6321.4, massG: 43.21 },
		checks: ['Magnet: 0.4 g pulled out of 52.0 g.'],
		agreement: 'There is one estimate so far; a check of another kind would test it.',
		corrections: { cornersByHand: 1, readingByHand: 0, photosTakenOut: 2, spotsTaught: 0 },
		warnings: ['Spread 2: Wet shine hides 4 % of the sample.'],
		notLookedFor: ['oil', 'moisture'],
		method: {
			material: 'Mixed cable waste',
			readBy: ['model'],
			surfaces: ['mat'],
			isLockedCopperChecked: false,
			matCheckedOn: '2026-05-01',
			engine: '2-0123456789ab',
			seed: 20,
			draws: 4000,
		},
		photos: [
			{ spread: 1, sha256: 'a'.repeat(64), sizeBytes: 1000 },
			{ spread: 2, sha256: 'b'.repeat(64), sizeBytes: 2000 },
		],
		pictures: [],
		...changes,
	} satisfies CleanlinessRecord);
}

/** A signing key of its own. */
export function madeKey() {
	const { privateKey, publicKey } = generateKeyPairSync('ed25519');
	return {
		publicKey: publicKey.export({ type: 'spki', format: 'der' }).toString('base64'),
		sign: (message: string) => sign(null, Buffer.from(message), privateKey).toString('base64'),
	};
}

/** An invented record, sealed with a key of its own. */
export function madeSealed(changes: Partial<CleanlinessRecord> = {}): SealedRecord {
	return sealRecord(madeRecord(changes), madeKey());
}
