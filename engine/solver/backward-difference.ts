/**
 * Backward differences of three steps, by which every capacitor, inductor and op-amp goes from step to step:
 *
 *   dq/dt at t_n = r/T·(q_n − q̂),   q̂ = Σ w_k·q_(n−k)
 *
 * What changes faster than the step rate dies within a few steps, where the trapezoidal rule would let it ring at half the
 * step rate.
 */
export interface StepFormula {
  /** r. */
  readonly rate: number;
  /** w, that of the step before first. */
  readonly weights: readonly [number, number, number];
}

/**
 * `third` is the formula of third order: its error is T³/4 of the fourth derivative. Stable for everything that decays but
 * resonances of Q above 7 near a tenth of the step rate and beyond (A(α)-stable, α = 86°), which resistors and capacitors
 * never have and op-amps seldom: see resonance.ts.
 *
 * `damped` is for those: of second order, and stable for everything that decays. Of the formulas between the second and
 * the third order which are, it has the least error: half that of the second.
 *
 * @see E. Hairer, G. Wanner, Solving Ordinary Differential Equations II (1996), sections III.1 and V.2
 * @see V. N. Vatsa, M. H. Carpenter, D. P. Lockard, "Re-evaluation of an optimized second order backward difference
 * (BDF2OPT) scheme for unsteady flow applications", AIAA 2010-0122: 0.48 of the third order, from memory
 */
export const STEP_FORMULAS = {
  third: { rate: 11 / 6, weights: [18 / 11, -9 / 11, 2 / 11] },
  damped: blended(0.48),
} as const satisfies Record<string, StepFormula>;

export type StepFormulaName = keyof typeof STEP_FORMULAS;

/** So much of the third order, the rest of the second. */
function blended(share: number): StepFormula {
  const mixed = (third: number, second: number) => share * third + (1 - share) * second;
  const rate = mixed(11 / 6, 3 / 2);
  return { rate, weights: [mixed(3, 2) / rate, mixed(-3 / 2, -1 / 2) / rate, mixed(1 / 3, 0) / rate] };
}
