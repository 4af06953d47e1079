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
import { depletionCharge, type JunctionCharge } from './junction-charge.ts';
import type { NodeName } from './node.ts';
import { currentNoise, shotNoise, thermalNoise } from './noise.ts';
import type { PrimitiveBase } from './origin.ts';
import { BOLTZMANN_J_PER_K, ELEMENTARY_CHARGE_C, NOMINAL_TEMPERATURE_K, thermalVoltage } from './physics.ts';

/**
 * Shockley junction with a leak beside it and a series resistance, `count` alike in series:
 *
 *   i = I_S·(exp(vj / (count·n·V_T)) − 1) + (G_min + G/count)·vj          v = vj + count·R_S·i
 *
 * with a constant capacitance `zeroBiasCapacitanceF / count` across the whole string. With `charge`, each junction holds
 * besides the charge q(vj/count) of junction-charge.ts, C_0 being `zeroBiasCapacitanceF` and i(v) the exponential term alone;
 * then dq/dt flows with i, through the series resistance. The leak G is that of a
 * germanium point contact, which one exponential cannot have: its reverse current of a microampere at 1.5 V rises
 * with the voltage, while the saturation current that fits its forward curve is thirty times smaller.
 */
export interface DiodeData {
  readonly saturationCurrentA: number;
  readonly emissionCoefficient: number;
  readonly seriesOhms: number;
  readonly zeroBiasCapacitanceF: number;
  /** Conductance G of the leak beside the junction, S; none by default. */
  readonly leakageS?: number;
  /** How its charge follows voltage and current; without it the capacitance is constant. */
  readonly charge?: JunctionCharge;
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
  /** C_0 of one of them, F: across the string stands a capacitor of this divided by `inSeries`, i = C·dv/dt. */
  readonly junctionCapacitanceF: number;
  /**
   * 'constant': that is all. 'abrupt': each junction holds the charge stated in junction-charge.ts besides, with the numbers
   * of `ChargeWords`.
   */
  readonly junctionCapacitanceLaw: 'constant' | 'abrupt';
  /** G_min + G/count, across the junctions of the whole string, S. */
  readonly parallelConductanceS: number;
} & (ChargeWords | Record<never, never>);

/** Numbers of the law 'abrupt'. */
type ChargeWords = {
  /** V_J, V. */
  readonly builtInV: number;
  /** T, s. */
  readonly transitSeconds: number;
};

/** Structure of a diode whose junctions hold charge. */
const CHARGED = 'charge';

const saturationA = parameter('saturationA');
const emissionV = parameter('emissionV');
const seriesOhms = parameter('seriesOhms');
const parallelS = parameter('parallelS');
const transitSeconds = parameter('transitSeconds');
const farads = parameter('farads');
const builtInV = parameter('builtInV');

export const DIODE: DeviceModel<DiodeString> = {
  parameters: [
    ...['saturationA', 'emissionV', 'seriesOhms', 'farads', 'parallelS'],
    ...['builtInV', 'transitSeconds'],
  ],
  numbersOf: ({ data, count }, temperatureK) => [
    data.saturationCurrentA,
    count * data.emissionCoefficient * thermalVoltage(temperatureK),
    count * data.seriesOhms,
    data.zeroBiasCapacitanceF / count,
    parallelConductanceS(data, count),
    count * (data.charge?.builtInV ?? 1),
    data.charge?.transitSeconds ?? 0,
  ],
  structureOf: ({ data: { charge } }) => (charge ? CHARGED : ''),
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
    junctionCapacitanceLaw: data.charge ? 'abrupt' : 'constant',
    parallelConductanceS: parallelConductanceS(data, count),
    ...data.charge,
  }),
  noiseSources,
  ports: [[0, 1]],
  equations: {
    currents: ([v]) => [
      // The conductance is a number of each diode, so that types with and without a leak run the same code.
      add(throughJunction(v!), multiply(v!, parallelS)),
    ],
    limitedSteps: ([v], [step]) => [limitedJunctionStep(v!, step!, saturationA, emissionV, 1)],
    junctions: [{ plus: 0, minus: 1, polarity: 1, saturationA: 'saturationA', emissionV: 'emissionV' }],
    series: { ohms: 'seriesOhms', farads: 'farads', start: highestJunctionV },
    hasEdges: true,
  },
  chargesOf: (structure) =>
    structure === CHARGED
      ? ([v], scale) => [
          add(
            depletionCharge(v!, farads, builtInV, scale),
            multiply(throughJunction(v!), multiply(transitSeconds, scale)),
          ),
        ]
      : undefined,
};

const throughJunction = (v: Formula) => junctionCurrent(v, saturationA, emissionV, 'then');

function parallelConductanceS({ leakageS = 0 }: DiodeData, count: number): number {
  return JUNCTION_MIN_S + leakageS / count;
}

/** The junction's voltage if all of `v` were across the series resistance; `v` if that is less. */
function highestJunctionV(v: Formula): Formula {
  // The 1e-300 avoids 0/0 where there is no series resistance.
  const saturatedV = add(multiply(seriesOhms, saturationA), number(1e-300));
  const share = divide(maximum(v, number(0)), saturatedV);
  return minimum(v, multiply(logarithm(add(share, number(1))), emissionV));
}

/** Rise of temperature for which a leak doubles, K: measured pieces of germanium, and common practice for silicon. */
const LEAK_DOUBLING_K = 10;

/** Data of a junction, given at 27 °C, moved to another temperature. */
export function diodeDataAt(data: DiodeData, temperatureK: number): DiodeData {
  const { thermal = SILICON, emissionCoefficient, saturationCurrentA, leakageS } = data;
  if (thermal.by === 'gap') {
    const growth = saturationGrowth(thermal, emissionCoefficient, temperatureK);
    const grown = { ...data, saturationCurrentA: saturationCurrentA * growth };
    if (leakageS === undefined) return grown;
    const doublings = (temperatureK - NOMINAL_TEMPERATURE_K) / LEAK_DOUBLING_K;
    return { ...grown, leakageS: leakageS * 2 ** doublings };
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

/** Data that hold at one temperature, as they are at another. */
export function diodeDataMoved(data: DiodeData, fromK: number, toK: number): DiodeData {
  const { thermal = SILICON, emissionCoefficient, saturationCurrentA, leakageS } = data;
  // What the way to `fromK` multiplied is divided again.
  const isGap = thermal.by === 'gap';
  const nominal = isGap ? emissionCoefficient : (emissionCoefficient * fromK) / NOMINAL_TEMPERATURE_K;
  const one = { ...data, emissionCoefficient: nominal, saturationCurrentA: 1 };
  const grown = diodeDataAt({ ...one, ...(leakageS === undefined ? {} : { leakageS: 1 }) }, fromK);
  return diodeDataAt(
    {
      ...one,
      saturationCurrentA: saturationCurrentA / grown.saturationCurrentA,
      ...(leakageS === undefined ? {} : { leakageS: leakageS / grown.leakageS! }),
    },
    toK,
  );
}

/**
 * 2q·I·coth(v/2V_T) of the junction, 4kTR_S of its series resistance, 4kTG of its leak. The first gives shot noise 2qI well above V_T and,
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
  const leakS = (data.leakageS ?? 0) / count;
  const siemens = slopes[0]![0]!;
  // Share of a current in the junction that leaves the string; the rest returns through the series resistance.
  const share = 1 - siemens * ohms;
  const junctionV = (volts[0]! - volts[1]! - ohms * amps) / count;
  const scale = 2 * thermalVoltage(temperatureK);
  const isAtZero = Math.abs(junctionV) < 1e-9 * scale;
  const quotient = isAtZero
    ? (siemens / share - leakS) * count * scale
    : (amps - leakS * count * junctionV) / Math.tanh(junctionV / scale);
  const leakDensity = 4 * BOLTZMANN_J_PER_K * temperatureK * leakS * share * share;
  return [
    ...(leakS > 0 ? [currentNoise('thermal noise', [0, 1], leakDensity)] : []),
    shotNoise('shot noise', [0, 1], (quotient * share * share) / count),
    thermalNoise(ohms, temperatureK, [
      [0, siemens],
      [1, -siemens],
    ]),
  ];
}
