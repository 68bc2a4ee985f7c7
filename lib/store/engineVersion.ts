/** Changes whenever the same photo could give other numbers, so that kept results are worked out again. */
export const ENGINE_VERSION = '2';
