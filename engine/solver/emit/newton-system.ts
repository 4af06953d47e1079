import type { Code } from './expression.ts';

/** Currents of a device's ports and their derivatives, as code that reads them; row p of `slopes` is ∂g_p. */
export interface EmittedDevice {
  readonly currents: readonly Code[];
  readonly slopes: readonly (readonly Code[])[];
  /** Charges of the ports times r/T and their derivatives, where it holds any. */
  readonly charges: readonly Code[];
  readonly chargeSlopes: readonly (readonly Code[])[];
}

/** The linear system of a Newton step, solved. */
export interface SolvedSystem {
  readonly step: readonly Code[];
  /** What every iteration has to make smaller: the residual, or the step itself. */
  readonly merit: readonly Code[];
  /** Voltages of nodes that follow with the step. */
  readonly nodes: readonly Code[];
}

/** How the linear system of a Newton step is solved. */
export interface NewtonSystem {
  /**
   * Whether the merit is the step and the currents with the step taken into them belong to its nodes, so that these are taken
   * after every iteration.
   *
   * @see P. Deuflhard, Newton Methods for Nonlinear Problems (2004), on the natural monotonicity test
   */
  readonly meritIsStep: boolean;
  /** @param v Voltages of the ports, at which the devices were evaluated. */
  readonly solve: (devices: readonly EmittedDevice[], v: readonly Code[]) => SolvedSystem;
}

/** Whether code is always 0, such as a MOSFET's gate current. */
export function isZero({ op, number }: Code): boolean {
  return op === 'double' && number === 0;
}
