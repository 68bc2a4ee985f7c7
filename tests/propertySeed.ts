import fc from 'fast-check';

/**
 * The property tests draw their cases from one seed, so that a run of them says the same tomorrow. PROPERTY_SEED draws others, to look
 * for new counterexamples; one that is found becomes a test of its own.
 */
fc.configureGlobal({ seed: Number(process.env.PROPERTY_SEED ?? 20_260_101) });
