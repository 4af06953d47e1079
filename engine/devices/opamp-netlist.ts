import type { NodeName } from './node.ts';
import type { Opamp } from './opamp-data.ts';
import {
  OPAMP_CLAMP_V,
  OPAMP_CURRENT_KNEE,
  OPAMP_CURRENT_LIMIT_V,
  OPAMP_KNEE_V,
  OPAMP_LEAST_V,
  OPAMP_REVERSAL,
  OPAMP_STARTING_V,
} from './opamp-equations.ts';

/**
 * An op-amp in the netlist, all that the equation of `OpampData` takes. x is the voltage of `out`, i the
 * current that leaves it, between = v(positive) − v(negative):
 *
 *   out of `positive` into the op-amp   draw + share·max(i, 0)
 *   out of the op-amp into `negative`   draw + share·max(−i, 0)
 *   draw = quiescentA·clip(between/startingSupplyV)     share = clip(between/leastSupplyV)     clip: into 0..1
 */
export type OpampWords = {
  /** Non-inverting input, inverting input, output. */
  readonly nodes: readonly NodeName[];
  /** Positive and negative supply pin. */
  readonly supplyNodes: readonly NodeName[];
  /** w/2π, Hz. */
  readonly gainBandwidthHz: number;
  /** S, V/s. */
  readonly slewVPerS: number;
  /** A0, V/V. */
  readonly openLoopGain: number;
  /** high = v(positive) − this, V. */
  readonly headroomHighV: number;
  /** low = v(negative) + this, V. */
  readonly headroomLowV: number;
  /** Into each input pin, A. */
  readonly inputBiasA: number;
  /** From the positive to the negative pin, A. */
  readonly quiescentA: number;
  /** H = v(positive) − this, V; absent with the two below where vd is v+ − v−. */
  readonly commonModeHeadroomHighV?: number;
  /** L = v(negative) + this, V. */
  readonly commonModeHeadroomLowV?: number;
  /** a, V/V. */
  readonly commonModeReversal?: number;
  /** R, ohms; absent with the four below where a load takes nothing from the reach of the output. */
  readonly outputSaturationOhms?: number;
  /** I_source and I_sink, A. */
  readonly outputSourceLimitA?: number;
  readonly outputSinkLimitA?: number;
  /** E, V. */
  readonly currentLimitV?: number;
  /** κ of p(e). */
  readonly currentLimitKnee?: number;
  /** k of q(e), V. */
  readonly limitKneeV: number;
  /** Divides S in the last term of dx/dt, V. */
  readonly limitSlewExcessV: number;
  /** Below this between the supply pins the quiescent current falls in proportion, V. */
  readonly startingSupplyV: number;
  /** Below this between the supply pins what the output delivers is taken from them only in proportion, V. */
  readonly leastSupplyV: number;
};

export function netlistWords({ nodes, data }: Opamp): OpampWords {
  const [plus, minus, out, positive, negative] = nodes;
  const { commonMode, underLoad, ...numbers } = data;
  return {
    nodes: [plus, minus, out],
    supplyNodes: [positive, negative],
    ...numbers,
    ...(commonMode && {
      commonModeHeadroomHighV: commonMode.headroomHighV,
      commonModeHeadroomLowV: commonMode.headroomLowV,
      commonModeReversal: commonMode.reverses ? OPAMP_REVERSAL : 1,
    }),
    ...(underLoad && {
      outputSaturationOhms: underLoad.saturationOhms,
      outputSourceLimitA: underLoad.sourceLimitA,
      outputSinkLimitA: underLoad.sinkLimitA,
      currentLimitV: OPAMP_CURRENT_LIMIT_V,
      currentLimitKnee: OPAMP_CURRENT_KNEE,
    }),
    limitKneeV: OPAMP_KNEE_V,
    limitSlewExcessV: OPAMP_CLAMP_V,
    startingSupplyV: OPAMP_STARTING_V,
    leastSupplyV: OPAMP_LEAST_V,
  };
}
