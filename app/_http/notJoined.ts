/** What a device hears that the gate does not let in. */
export const NOT_JOINED = 'This device has not joined.';
