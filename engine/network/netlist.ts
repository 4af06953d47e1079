import {
  GROUND,
  JUNCTION_MIN_S,
  type Network,
  type NodeName,
  OPAMP_CLAMP_V,
  OPAMP_KNEE_V,
  OPAMP_REVERSAL,
  OPAMP_STARTING_V,
  type Primitive,
} from './network.ts';

/** A network in SI numbers, complete enough to be solved by other software. */
export interface Netlist {
  readonly ground: NodeName;
  readonly input: NodeName;
  readonly output: NodeName;
  /** Shared supply and bias nets. */
  readonly rails: readonly NodeName[];
  readonly temperatureK: number;
  readonly parts: readonly NetlistPart[];
}

export interface NetlistPart {
  readonly ref: string;
  readonly kind: string;
  readonly nodes: readonly NodeName[];
  readonly [number: string]: unknown;
}

/** The network as data, with numbers as they are at its temperature; what the solver adds stands with the device. */
export function netlistOf(network: Network): Netlist {
  const { input, output, rails, temperatureK, primitives } = network;
  return { ground: GROUND, input, output, rails, temperatureK, parts: primitives.map(netlistPart) };
}

function netlistPart(primitive: Primitive): NetlistPart {
  const { ref, kind, nodes } = primitive;
  switch (primitive.kind) {
    case 'resistor':
    case 'capacitor':
    case 'inductor':
    case 'voltageSource':
    case 'converter':
      return { ...primitive };
    case 'diode': {
      const { saturationCurrentA, emissionCoefficient, seriesOhms, zeroBiasCapacitanceF } = primitive.data;
      return {
        ref,
        kind,
        nodes,
        inSeries: primitive.count,
        saturationCurrentA,
        emissionCoefficient,
        seriesOhms,
        junctionCapacitanceF: zeroBiasCapacitanceF,
        junctionCapacitanceLaw: 'constant',
        minimumConductanceS: JUNCTION_MIN_S,
      };
    }
    case 'opamp': {
      const [plus, minus, out, positive, negative] = primitive.nodes;
      const { commonMode, ...numbers } = primitive.data;
      return {
        ref,
        kind,
        nodes: [plus, minus, out],
        supplyNodes: [positive, negative],
        ...numbers,
        ...(commonMode && {
          commonModeHeadroomHighV: commonMode.headroomHighV,
          commonModeHeadroomLowV: commonMode.headroomLowV,
          commonModeReversal: commonMode.reverses ? OPAMP_REVERSAL : 1,
        }),
        limitKneeV: OPAMP_KNEE_V,
        limitSlewExcessV: OPAMP_CLAMP_V,
        startingSupplyV: OPAMP_STARTING_V,
      };
    }
    case 'npn':
    case 'pnp': {
      const { saturationCurrentA, forwardBeta, reverseBeta, earlyV } = primitive.data;
      return { ref, kind, nodes, saturationCurrentA, forwardBeta, reverseBeta, earlyV };
    }
    case 'nJfet':
    case 'nMosfet': {
      const { betaAPerV2, thresholdV, lambdaPerV, gateSaturationCurrentA } = primitive.data;
      return { ref, kind, nodes, betaAPerV2, thresholdV, lambdaPerV, gateSaturationCurrentA };
    }
  }
}
