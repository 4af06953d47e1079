/** In its own file, so that the worklet imports something. */
export const FACTOR = 2;
