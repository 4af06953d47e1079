/** In a file of its own, so that the worklet has something to import. */
export const FACTOR = 2;
