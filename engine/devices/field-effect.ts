import {
  type DeviceModel,
  type DeviceNoise,
  type DeviceRest,
  SHORT_S,
  type TerminalPair,
} from './device-model.ts';
import {
  absolute,
  add,
  type Formula,
  maximum,
  minimum,
  multiply,
  number,
  parameter,
  positiveSquare,
  subtract,
} from './formula.ts';
import { junctionCurrent, opposedCurrents, SILICON, saturationGrowth } from './junction.ts';
import type { NodeName } from './node.ts';
import { currentNoise, shotNoise } from './noise.ts';
import type { PrimitiveBase } from './origin.ts';
import { BOLTZMANN_J_PER_K, NOMINAL_TEMPERATURE_K, thermalVoltage } from './physics.ts';

/**
 * Square-law field-effect transistor (Shichman-Hodges), symmetric in drain and source:
 *
 *   v_DS ≥ 0, u = v_GS − V_to > 0:   i_D = β·(1 + λ·v_DS)·(u² if v_DS ≥ u, else v_DS·(2u − v_DS))
 *
 * A JFET has gate junctions to drain and source of saturation current `gateSaturationCurrentA`;
 * a MOSFET has none (0), and its body diode is a part of its own.
 * For a P-channel all voltages and currents change sign, but not V_to, which is that of the mirrored N-channel.
 */
export interface FetData {
  readonly betaAPerV2: number;
  readonly thresholdV: number;
  readonly lambdaPerV: number;
  readonly gateSaturationCurrentA: number;
  /** Drift of the threshold; by default that of its kind. */
  readonly thresholdVPerK?: number;
}

export interface Fet extends PrimitiveBase {
  readonly kind: 'nJfet' | 'pJfet' | 'nMosfet';
  readonly nodes: readonly [drain: NodeName, gate: NodeName, source: NodeName];
  readonly data: FetData;
}

/** A transistor in the netlist, with the letters of the equation at the head of this file; nodes are drain, gate, source. */
type FetWords = {
  /** β, A/V². */
  readonly betaAPerV2: number;
  /** V_to, V; of a P-channel that of the mirrored N-channel. */
  readonly thresholdV: number;
  /** λ, 1/V. */
  readonly lambdaPerV: number;
  /** Of each gate junction, A: i = this·(exp(v/V_T) − 1) from gate to source and from gate to drain; 0 of a MOSFET. */
  readonly gateSaturationCurrentA: number;
};

/** Mobility falls with T^-1.5; JFET cards say the same as 0.5 % a kelvin (BETATCE −0.5), from memory. */
const MOBILITY_EXPONENT = -1.5;
/** VTOTC of the published JFET cards, V/K, from memory. */
const JFET_THRESHOLD_V_PER_K = -2.5e-3;
/** Fall of a small MOSFET's threshold, V/K; from memory, sheets draw 2 to 4 mV/K. */
export const MOSFET_THRESHOLD_V_PER_K = -2e-3;
const THRESHOLD_V_PER_K: Readonly<Record<Fet['kind'], number>> = {
  nJfet: JFET_THRESHOLD_V_PER_K,
  pJfet: JFET_THRESHOLD_V_PER_K,
  nMosfet: MOSFET_THRESHOLD_V_PER_K,
};
/** Largest step of a port in a limited iteration of Newton's method, V. */
const MOST_STEP_V = 1;

const [DRAIN, GATE, SOURCE] = [0, 1, 2];

const beta = parameter('betaAPerV2');
const threshold = parameter('thresholdV');
const lambda = parameter('lambdaPerV');
const gateSaturationA = parameter('gateSaturationA');
const thermalV = parameter('thermalV');

interface FetKind {
  readonly polarity: 1 | -1;
  readonly hasGateJunctions: boolean;
}

export const N_JFET = fieldEffect({
  polarity: 1,
  hasGateJunctions: true,
});
export const P_JFET = fieldEffect({
  polarity: -1,
  hasGateJunctions: true,
});
export const N_MOSFET = fieldEffect({
  polarity: 1,
  hasGateJunctions: false,
});

function fieldEffect(kind: FetKind): DeviceModel<Fet> {
  const { polarity, hasGateJunctions } = kind;
  const junction = { polarity, saturationA: 'gateSaturationA', emissionV: 'thermalV' } as const;
  const gatePaths: readonly TerminalPair[] = [
    [DRAIN, GATE],
    [GATE, SOURCE],
  ];
  return {
    parameters: ['betaAPerV2', 'thresholdV', 'lambdaPerV', 'gateSaturationA', 'thermalV'],
    numbersOf: ({ data }, temperatureK) => [
      data.betaAPerV2,
      data.thresholdV,
      data.lambdaPerV,
      data.gateSaturationCurrentA,
      thermalVoltage(temperatureK),
    ],
    structureOf: () => '',
    dcPaths: hasGateJunctions ? gatePaths : [[DRAIN, SOURCE]],
    // A MOSFET with its gate at its drain.
    carriesOneCurrent: ({ nodes }) => !hasGateJunctions && nodes[DRAIN] === nodes[GATE],
    conductanceBounds: () => [
      [DRAIN, SOURCE, SHORT_S],
      ...(hasGateJunctions ? [[GATE, SOURCE, SHORT_S] as const] : []),
    ],
    atTemperature: (transistor, temperatureK) => ({
      ...transistor,
      data: fetDataAt(transistor.data, transistor.kind, temperatureK),
    }),
    netlistWords: ({ data: { betaAPerV2, thresholdV, lambdaPerV, gateSaturationCurrentA } }): FetWords => ({
      betaAPerV2,
      thresholdV,
      lambdaPerV,
      gateSaturationCurrentA,
    }),
    noiseSources: (transistor, rest) => noiseSources(transistor, polarity, rest),
    ports: [
      [GATE, SOURCE],
      [DRAIN, SOURCE],
    ],
    equations: {
      currents: ([vGS, vDS]) => currents(kind, vGS!, vDS!),
      limitedSteps: (_, steps) =>
        steps.map((step) => maximum(minimum(step, number(MOST_STEP_V)), number(-MOST_STEP_V))),
      junctions: hasGateJunctions
        ? [
            { plus: GATE, minus: SOURCE, ...junction },
            { plus: GATE, minus: DRAIN, ...junction },
          ]
        : [],
      hasEdges: false,
    },
  };
}

/**
 * From gate to source what flows into the gate, from drain to source what flows into the drain. With u_S = v_GS − V_to
 * and u_D = v_GD − V_to both regions and both directions are one formula, β·(1 + λ·|v_DS|)·(u_S⁺² − u_D⁺²).
 *
 * @see H. Shichman, D. A. Hodges, IEEE J. Solid-State Circuits SC-3 (1968), 285
 */
function currents({ polarity, hasGateJunctions }: FetKind, vGS: Formula, vDS: Formula): readonly Formula[] {
  const signed = (formula: Formula) => multiply(formula, number(polarity));
  const [gs, ds] = [signed(vGS), signed(vDS)];
  const gd = subtract(gs, ds);
  const shape = subtract(positiveSquare(subtract(gs, threshold)), positiveSquare(subtract(gd, threshold)));
  const lengthening = multiply(add(multiply(absolute(ds), lambda), number(1)), beta);
  const channel = multiply(shape, lengthening);
  if (!hasGateJunctions) return [number(0), signed(channel)];
  const toSource = junctionCurrent(gs, gateSaturationA, thermalV, 'otherwise');
  const toDrain = junctionCurrent(gd, gateSaturationA, thermalV, 'otherwise');
  return [signed(add(toSource, toDrain)), signed(subtract(channel, toDrain))];
}

/**
 * Data of a field-effect transistor, given at 27 °C, at another temperature: V_to' = V_to + a·(T − T0),
 * β' = β·(T/T0)^−1.5, the gate's junctions as silicon.
 */
export function fetDataAt(data: FetData, kind: Fet['kind'], temperatureK: number): FetData {
  const { thresholdVPerK = THRESHOLD_V_PER_K[kind] } = data;
  return {
    ...data,
    betaAPerV2: data.betaAPerV2 * (temperatureK / NOMINAL_TEMPERATURE_K) ** MOBILITY_EXPONENT,
    thresholdV: data.thresholdV + thresholdVPerK * (temperatureK - NOMINAL_TEMPERATURE_K),
    gateSaturationCurrentA: data.gateSaturationCurrentA * saturationGrowth(SILICON, 1, temperatureK),
  };
}

/**
 * 4kT·(2/3)·g_d0·(1 + a + a²)/(1 + a), a = 1 − v_DS/v_DSsat, of the channel; 2q of the gate junctions' currents.
 *
 * @see A. van der Ziel, Noise in Solid State Devices and Circuits (1986), from memory
 */
function noiseSources(
  { data }: Fet,
  polarity: 1 | -1,
  { temperatureK, volts }: DeviceRest,
): readonly DeviceNoise[] {
  const [drain, gate, source] = volts.map((v) => polarity * v) as [number, number, number];
  const span = Math.abs(drain - source);
  const drive = Math.max(gate - Math.min(drain, source) - data.thresholdV, 0);
  const openness = drive > 0 ? Math.max(0, 1 - span / drive) : 0;
  const unsaturatedS = 2 * data.betaAPerV2 * (1 + data.lambdaPerV * span) * drive;
  const shape = (2 / 3) * ((1 + openness + openness * openness) / (1 + openness));
  const density = 4 * BOLTZMANN_J_PER_K * temperatureK * unsaturatedS * shape;
  const gateA = (v: number) => opposedCurrents(data.gateSaturationCurrentA, v, temperatureK);
  return [
    currentNoise('channel noise', [DRAIN, SOURCE], density),
    shotNoise('gate shot noise', [GATE, SOURCE], gateA(gate - source)),
    shotNoise('gate shot noise', [GATE, DRAIN], gateA(gate - drain)),
  ];
}
