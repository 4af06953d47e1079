/**
 * The third-order backward difference formula, by which every capacitor, inductor and op-amp goes from sample to
 * sample:
 *
 *   dq/dt at t_n = r/T·(q_n − q̂),   q̂ = Σ w_k·q_(n−k),   r = 11/6,   w = 18/11, −9/11, 2/11
 *
 * Its error is T³/4 of the fourth derivative, and modes faster than the sample rate decay within a few samples;
 * with the trapezoidal rule they would ring at half the sample rate. Stable for everything that decays, except
 * resonances of Q above 7 near a tenth of the sample rate and above (A(α)-stable, α = 86°). Resistors and
 * capacitors never have such a resonance, op-amps seldom.
 *
 * @see E. Hairer, G. Wanner, Solving Ordinary Differential Equations II (1996), sections III.1 and V.2
 */
export const STEP_RATE = 11 / 6;
export const PAST_WEIGHTS = [18 / 11, -9 / 11, 2 / 11] as const;
