import {
  type DeviceModel,
  type DeviceNoise,
  type DeviceRest,
  JUNCTION_MIN_S,
  SHORT_S,
} from './device-model.ts';
import {
  add,
  divide,
  type Formula,
  logarithm,
  maximum,
  minimum,
  multiply,
  number,
  parameter,
} from './formula.ts';
import {
  type JunctionThermal,
  junctionCurrent,
  limitedJunctionStep,
  SILICON,
  saturationGrowth,
} from './junction.ts';
import type { NodeName } from './node.ts';
import { shotNoise, thermalNoise } from './noise.ts';
import type { PrimitiveBase } from './origin.ts';
import { BOLTZMANN_J_PER_K, ELEMENTARY_CHARGE_C, NOMINAL_TEMPERATURE_K, thermalVoltage } from './physics.ts';

/**
 * Shockley junction with series resistance, `count` alike in series:
 *
 *   i = I_S·(exp(vj / (count·n·V_T)) − 1) + G_min·vj          v = vj + count·R_S·i
 *
 * and a constant capacitance `zeroBiasCapacitanceF / count` across the whole string.
 */
export interface DiodeData {
  readonly saturationCurrentA: number;
  readonly emissionCoefficient: number;
  readonly seriesOhms: number;
  readonly zeroBiasCapacitanceF: number;
  /** How it changes with temperature; as silicon by default. Data are at the network's temperature. */
  readonly thermal?: JunctionThermal;
}

export interface DiodeString extends PrimitiveBase {
  readonly kind: 'diode';
  readonly nodes: readonly [anode: NodeName, cathode: NodeName];
  readonly count: number;
  readonly data: DiodeData;
}

/** A diode in the netlist; the equation at the head of this file takes these, with count = inSeries. */
type DiodeWords = {
  readonly inSeries: number;
  /** I_S, A. */
  readonly saturationCurrentA: number;
  /** n. */
  readonly emissionCoefficient: number;
  /** R_S of one of them, ohms. */
  readonly seriesOhms: number;
  /** Of one of them, F: across the string stands a capacitor of this divided by `inSeries`, i = C·dv/dt. */
  readonly junctionCapacitanceF: number;
  /** The capacitance does not depend on the voltage. */
  readonly junctionCapacitanceLaw: 'constant';
  /** G_min across the junctions of the whole string, S. */
  readonly minimumConductanceS: number;
};

const saturationA = parameter('saturationA');
const emissionV = parameter('emissionV');
const seriesOhms = parameter('seriesOhms');

export const DIODE: DeviceModel<DiodeString> = {
  parameters: ['saturationA', 'emissionV', 'seriesOhms', 'farads'],
  numbersOf: ({ data, count }, temperatureK) => [
    data.saturationCurrentA,
    count * data.emissionCoefficient * thermalVoltage(temperatureK),
    count * data.seriesOhms,
    data.zeroBiasCapacitanceF / count,
  ],
  structureOf: () => '',
  dcPaths: [[0, 1]],
  carriesOneCurrent: () => true,
  // Its capacitance beside it is a state.
  conductanceBounds: ({ data, count }) => [[0, 1, 1 / (count * data.seriesOhms + 1 / SHORT_S)]],
  atTemperature: (diode, temperatureK) => ({ ...diode, data: diodeDataAt(diode.data, temperatureK) }),
  netlistWords: ({ count, data }): DiodeWords => ({
    inSeries: count,
    saturationCurrentA: data.saturationCurrentA,
    emissionCoefficient: data.emissionCoefficient,
    seriesOhms: data.seriesOhms,
    junctionCapacitanceF: data.zeroBiasCapacitanceF,
    junctionCapacitanceLaw: 'constant',
    minimumConductanceS: JUNCTION_MIN_S,
  }),
  noiseSources,
  ports: [[0, 1]],
  equations: {
    currents: ([v]) => [
      add(junctionCurrent(v!, saturationA, emissionV, 'then'), multiply(v!, number(JUNCTION_MIN_S))),
    ],
    limitedSteps: ([v], [step]) => [limitedJunctionStep(v!, step!, saturationA, emissionV, 1)],
    junctions: [{ plus: 0, minus: 1, polarity: 1, saturationA: 'saturationA', emissionV: 'emissionV' }],
    series: { ohms: 'seriesOhms', farads: 'farads', start: highestJunctionV },
    hasEdges: true,
  },
};

/** The junction's voltage if all of `v` were across the series resistance; `v` if that is less. */
function highestJunctionV(v: Formula): Formula {
  // The 1e-300 avoids 0/0 where there is no series resistance.
  const saturatedV = add(multiply(seriesOhms, saturationA), number(1e-300));
  const share = divide(maximum(v, number(0)), saturatedV);
  return minimum(v, multiply(logarithm(add(share, number(1))), emissionV));
}

/** Data of a junction, given at 27 °C, moved to another temperature. */
export function diodeDataAt(data: DiodeData, temperatureK: number): DiodeData {
  const { thermal = SILICON, emissionCoefficient, saturationCurrentA } = data;
  if (thermal.by === 'gap') {
    const growth = saturationGrowth(thermal, emissionCoefficient, temperatureK);
    return { ...data, saturationCurrentA: saturationCurrentA * growth };
  }
  // The breakdown curve keeps its shape and moves along the voltage axis.
  const efoldV = (emissionCoefficient * BOLTZMANN_J_PER_K * NOMINAL_TEMPERATURE_K) / ELEMENTARY_CHARGE_C;
  const shiftV = thermal.voltsPerK * (temperatureK - NOMINAL_TEMPERATURE_K);
  return {
    ...data,
    saturationCurrentA: saturationCurrentA * Math.exp(-shiftV / efoldV),
    emissionCoefficient: (emissionCoefficient * NOMINAL_TEMPERATURE_K) / temperatureK,
  };
}

/**
 * 2q·I·coth(v/2V_T) of the junction, 4kTR_S of its series resistance. The first gives shot noise 2qI well above V_T and,
 * whatever the emission coefficient, the thermal noise 4kT·g at rest without bias, as Nyquist's theorem demands.
 *
 * @see M. S. Gupta, Proc. IEEE 70 (1982), 788, from memory
 */
function noiseSources(
  { count, data }: DiodeString,
  { temperatureK, volts, currents, slopes }: DeviceRest,
): readonly DeviceNoise[] {
  const ohms = count * data.seriesOhms;
  const amps = currents[0]!;
  const siemens = slopes[0]![0]!;
  // Share of a current in the junction that leaves the string; the rest returns through the series resistance.
  const share = 1 - siemens * ohms;
  const junctionV = (volts[0]! - volts[1]! - ohms * amps) / count;
  const scale = 2 * thermalVoltage(temperatureK);
  const isAtZero = Math.abs(junctionV) < 1e-9 * scale;
  const quotient = isAtZero ? (siemens / share) * count * scale : amps / Math.tanh(junctionV / scale);
  return [
    shotNoise('shot noise', [0, 1], (quotient * share * share) / count),
    thermalNoise(ohms, temperatureK, [
      [0, siemens],
      [1, -siemens],
    ]),
  ];
}
