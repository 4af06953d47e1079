/** When Newton's iteration on a block's ports ends, and how far its steps may go. */

/** Newton ends with the linearised currents of a last step shorter than this, root of the sum of squares; its error is second order. */
export const STEP_TOLERANCE_V = 5e-5;
/** A port starts from the parabola through its last three steps where that moves it by less than this, V. */
export const EXTRAPOLATION_LIMIT_V = 0.05;
/** Steps are limited as their devices say in the first iterations; after them the step is pure, with backtracking. */
export const LIMITED_ITERATIONS = 20;
export const MAX_ITERATIONS = 60;

/**
 * The sum of a block's states (V, A), port currents and op-amp outputs is a fault beyond this as if it were not
 * finite: no circuit of this kind goes there, and what does would take seconds to decay.
 */
export const FAULT_ABOVE = 1e6;
