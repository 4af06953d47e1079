import type { NodeName } from './node.ts';
import type { PrimitiveBase } from './origin.ts';

/**
 * Op-amp as one integrator with slew limit and soft rails. x is the output voltage, vd = v+ − v−,
 * w = 2π·gainBandwidthHz, S = slewVPerS, and the rails lie `headroomHighV` below the positive and
 * `headroomLowV` above the negative supply pin, mid between them; where these cross, both are at mid:
 *
 *   dx/dt = S·s(w·vd/S) − (w/A0)·(x − mid) − (S/0.1 V)·(q(x − high) − q(low − x))
 *   s(u) = u/√(1 + u²)        q(e) = 0 | e²/(2k) | e − k/2   for e ≤ 0 | ≤ k | > k,  k = OPAMP_KNEE_V
 *
 * Where `underLoad` gives how its output behaves under load, the current i out of it takes from its reach,
 *
 *   high −= R·i + E·p(i/I_source − 1)        low −= R·i − E·p(−i/I_sink − 1)
 *   p(e) = 0 | e²/(2κ) | e − κ/2   for e ≤ 0 | ≤ κ | > κ,   E = OPAMP_CURRENT_LIMIT_V,   κ = OPAMP_CURRENT_KNEE
 *
 * as a resistance R between an amplifier with these limits and the pin would, with a limit of the current. Only the limits
 * know the load: a sheet's gain-bandwidth and slew rate are those with one (2 kΩ as a rule), and mid is that without load.
 *
 * Where it matters that the inputs of a type leave their range, `commonMode` gives that range: vd is then c(v+) − v−,
 *
 *   c(v) = v − q(v − H) + a·q(L − v)     a = 1, or OPAMP_REVERSAL for a type whose output reverses
 *
 * with H below the positive and L above the negative supply pin in the same way. The inverting input is assumed
 * to be in range: feedback holds it at the other one.
 *
 * `inputBiasA` flows into each input pin (negative: out of it). `quiescentA` flows from the positive to
 * the negative supply pin (below OPAMP_STARTING_V between them in proportion to what there is); what the output sources
 * comes from the positive pin, what it sinks goes to the negative one (below OPAMP_LEAST_V in proportion likewise).
 */
export interface OpampData {
  readonly gainBandwidthHz: number;
  readonly slewVPerS: number;
  readonly openLoopGain: number;
  readonly headroomHighV: number;
  readonly headroomLowV: number;
  readonly inputBiasA: number;
  readonly quiescentA: number;
  /** Absent where the output limits first and does not reverse. */
  readonly commonMode?: CommonModeRange;
  /** What a load takes from the reach of the output; absent: nothing. The headrooms are then those without a load. */
  readonly underLoad?: OutputUnderLoad;
}

/** How an op-amp's output behaves under load. */
export interface OutputUnderLoad {
  /** R: what the limits of the output lose for each ampere, ohms. */
  readonly saturationOhms: number;
  /** I_source and I_sink: most current out of and into the output, A. */
  readonly sourceLimitA: number;
  readonly sinkLimitA: number;
}

/** How far an op-amp's non-inverting input may go towards its supply pins. */
export interface CommonModeRange {
  readonly headroomHighV: number;
  readonly headroomLowV: number;
  /** Below the range the output jumps to its high limit instead of following. */
  readonly reverses: boolean;
}

/**
 * Noise of an op-amp referred to its inputs, as datasheets give it: one voltage in series with an input, and a
 * current into each input, not correlated with each other. With S the squared density and f_c its corner
 *
 *   S(f) = S(1 kHz)·(1 + f_c/f)/(1 + f_c/1 kHz)
 */
export interface OpampNoise {
  readonly voltageAt1kHzVPerRtHz: number;
  readonly voltageCornerHz: number;
  readonly currentAt1kHzAPerRtHz: number;
  readonly currentCornerHz: number;
}

export interface Opamp extends PrimitiveBase {
  readonly kind: 'opamp';
  readonly nodes: readonly [
    plus: NodeName,
    minus: NodeName,
    out: NodeName,
    positiveSupply: NodeName,
    negativeSupply: NodeName,
  ];
  readonly data: OpampData;
  /** Absent where it is not known: the amplifier then counts as silent. */
  readonly noise?: OpampNoise;
  /** The pin that an output stage fitted beside it drives, and its headroom; absent where `out` is the pin. */
  readonly drives?: {
    readonly net: NodeName;
    readonly headroomHighV: number;
    readonly headroomLowV: number;
  };
}
