/** Limits of Newton's method on a block's ports: when it ends, and how far its steps may go. */

/** Newton ends with the linearised currents of a last step shorter than this, root of the sum of squares; its error is second order. */
export const STEP_TOLERANCE_V = 5e-5;
/** A port starts from the parabola through its last three steps if that moves it by less than this, V. */
export const EXTRAPOLATION_LIMIT_V = 0.05;
/** In the first iterations the devices limit the steps; after that the full step is taken, with backtracking. */
export const LIMITED_ITERATIONS = 20;
export const MAX_ITERATIONS = 60;

/**
 * If the sum of a block's states (V, A), port currents and op-amp outputs exceeds this, it is a fault, as if it
 * were not finite: no circuit of this kind reaches it, and it would take seconds to decay.
 */
export const FAULT_ABOVE = 1e6;
