import { type DeviceModel, type DeviceNoise, type DeviceRest, SHORT_S } from './device-model.ts';
import { add, divide, type Formula, multiply, number, parameter, subtract } from './formula.ts';
import {
  junctionCurrent,
  limitedJunctionStep,
  opposedCurrents,
  SILICON,
  saturationGrowth,
} from './junction.ts';
import type { NodeName } from './node.ts';
import { shotNoise, thermalNoise } from './noise.ts';
import type { PrimitiveBase } from './origin.ts';
import { NOMINAL_TEMPERATURE_K, thermalVoltage } from './physics.ts';

/**
 * Ebers-Moll transistor in its transport form, with forward Early effect and a leak of the collector junction.
 *
 *   i_F = I_S·(exp(v_BE/V_T) − 1)     i_R = I_S·(exp(v_BC/V_T) − 1)     i_L = I_L·(exp(v_BC/(n_L·V_T)) − 1)
 *   i_C = (i_F − i_R)·(1 − v_BC/V_A) − i_R/β_R − i_L       i_B = i_F/β_F + i_R/β_R + i_L
 *
 * For a PNP all voltages and currents change sign. With the collector junction blocked by some V_T and the Early effect left
 * out, the leak with the emitter open is I_CBO = I_S·(1/β_R + 1/(1 + β_F)) + I_L, and with the base open
 * I_CEO = (1 + β_F)·I_CBO.
 *
 * @see H. K. Gummel, H. C. Poon, Bell System Technical Journal 49 (1970), 827; I_L and n_L are I_SC and n_CL of its cards
 */
export interface BjtData {
  readonly saturationCurrentA: number;
  readonly forwardBeta: number;
  readonly reverseBeta: number;
  readonly earlyV: number;
  /** Leak of the collector junction; none by default. */
  readonly collectorLeak?: CollectorLeak;
  /** Energy gap; silicon by default. */
  readonly energyGapEv?: number;
}

export interface CollectorLeak {
  /** I_L, A. */
  readonly saturationA: number;
  /** n_L. */
  readonly emissionCoefficient: number;
}

export interface Bjt extends PrimitiveBase {
  readonly kind: 'npn' | 'pnp';
  readonly nodes: readonly [collector: NodeName, base: NodeName, emitter: NodeName];
  readonly data: BjtData;
  /** Base resistance, ohms, where it is no resistor ahead of the base; used for noise only. */
  readonly noiseBaseOhms?: number;
}

/** A transistor in the netlist, with the letters of the equation at the head of this file; nodes are collector, base, emitter. */
type BjtWords = {
  /** I_S, A. */
  readonly saturationCurrentA: number;
  /** β_F. */
  readonly forwardBeta: number;
  /** β_R. */
  readonly reverseBeta: number;
  /** V_A, V. */
  readonly earlyV: number;
} & (LeakWords | Record<never, never>);

/** Of a transistor whose collector junction leaks. */
type LeakWords = {
  /** I_L, A. */
  readonly collectorLeakageA: number;
  /** n_L. */
  readonly collectorLeakageEmission: number;
};

/** Without a leak, the exponential of i_L is out of its range at any voltage, and so is not computed. */
const NO_LEAK = { saturationA: 0, emissionV: 1e-9 } as const;

/** Rise of the current gain with temperature, XTB of the published cards (2N3904: 1.5), from memory. */
const GAIN_EXPONENT = 1.5;

const [COLLECTOR, BASE, EMITTER] = [0, 1, 2];

const saturationA = parameter('saturationA');
const forwardBeta = parameter('forwardBeta');
const reverseBeta = parameter('reverseBeta');
const earlyV = parameter('earlyV');
const thermalV = parameter('thermalV');
const leakA = parameter('leakA');
const leakV = parameter('leakV');

export const NPN = bipolar(1);
export const PNP = bipolar(-1);

function bipolar(polarity: 1 | -1): DeviceModel<Bjt> {
  const junction = { polarity, saturationA: 'saturationA', emissionV: 'thermalV' } as const;
  return {
    parameters: ['saturationA', 'forwardBeta', 'reverseBeta', 'earlyV', 'thermalV', 'leakA', 'leakV'],
    numbersOf: ({ data }, temperatureK) => [
      data.saturationCurrentA,
      data.forwardBeta,
      data.reverseBeta,
      data.earlyV,
      thermalVoltage(temperatureK),
      data.collectorLeak?.saturationA ?? NO_LEAK.saturationA,
      data.collectorLeak
        ? data.collectorLeak.emissionCoefficient * thermalVoltage(temperatureK)
        : NO_LEAK.emissionV,
    ],
    structureOf: () => '',
    dcPaths: [
      [COLLECTOR, BASE],
      [BASE, EMITTER],
    ],
    carriesOneCurrent: () => false,
    // In saturation all three are joined.
    conductanceBounds: () => [
      [BASE, EMITTER, SHORT_S],
      [COLLECTOR, EMITTER, SHORT_S],
    ],
    atTemperature: (transistor, temperatureK) => ({
      ...transistor,
      data: bjtDataAt(transistor.data, temperatureK),
    }),
    netlistWords: ({
      data: { saturationCurrentA, forwardBeta, reverseBeta, earlyV, collectorLeak },
    }): BjtWords => ({
      saturationCurrentA,
      forwardBeta,
      reverseBeta,
      earlyV,
      ...(collectorLeak && {
        collectorLeakageA: collectorLeak.saturationA,
        collectorLeakageEmission: collectorLeak.emissionCoefficient,
      }),
    }),
    noiseSources: (transistor, rest) => noiseSources(transistor, polarity, rest),
    ports: [
      [BASE, EMITTER],
      [BASE, COLLECTOR],
    ],
    equations: {
      currents: ([vBE, vBC]) => currents(polarity, vBE!, vBC!),
      limitedSteps: (v, step) =>
        v.map((volts, port) => limitedJunctionStep(volts, step[port]!, saturationA, thermalV, polarity)),
      junctions: [
        { plus: BASE, minus: EMITTER, ...junction },
        { plus: BASE, minus: COLLECTOR, ...junction },
      ],
      hasEdges: false,
    },
  };
}

/** From base to emitter i_F/β_F + i_CT and from base to collector i_R/β_R + i_L − i_CT, i_CT = (i_F − i_R)·(1 − v_BC/V_A). */
function currents(polarity: 1 | -1, vBE: Formula, vBC: Formula): readonly Formula[] {
  const signed = (formula: Formula) => multiply(formula, number(polarity));
  const forward = junctionCurrent(signed(vBE), saturationA, thermalV, 'then');
  const reverse = junctionCurrent(signed(vBC), saturationA, thermalV, 'otherwise');
  const early = subtract(number(1), divide(signed(vBC), earlyV));
  const transport = multiply(subtract(forward, reverse), early);
  const leak = junctionCurrent(signed(vBC), leakA, leakV, 'otherwise');
  return [
    signed(add(divide(forward, forwardBeta), transport)),
    signed(subtract(add(divide(reverse, reverseBeta), leak), transport)),
  ];
}

/**
 * Data of a bipolar transistor, given at 27 °C, at another temperature: I_S as that of a junction with n = 1, I_L as that of
 * one with n_L but divided by (T/T0)^1.5, as base currents are, β' = β·(T/T0)^1.5. A germanium leak with n_L = 1.26 to 1.36
 * doubles each 9.6 to 10.5 K; common practice says 8 to 10 K.
 *
 * @see L. W. Nagel, UCB/ERL M520 (1975), temperature dependence of the base's leakage currents
 */
export function bjtDataAt(data: BjtData, temperatureK: number): BjtData {
  const { energyGapEv = SILICON.energyGapEv, collectorLeak } = data;
  const gain = (temperatureK / NOMINAL_TEMPERATURE_K) ** GAIN_EXPONENT;
  const growth = (emission: number) => saturationGrowth({ ...SILICON, energyGapEv }, emission, temperatureK);
  const moved = {
    ...data,
    saturationCurrentA: data.saturationCurrentA * growth(1),
    forwardBeta: data.forwardBeta * gain,
    reverseBeta: data.reverseBeta * gain,
  };
  if (!collectorLeak) return moved;
  const { saturationA: ownA, emissionCoefficient } = collectorLeak;
  const grownA = (ownA * growth(emissionCoefficient)) / gain;
  return { ...moved, collectorLeak: { saturationA: grownA, emissionCoefficient } };
}

/** 2q of each junction's two opposed currents; 4kTR of the base resistance. */
function noiseSources(
  { data, noiseBaseOhms = 0 }: Bjt,
  polarity: 1 | -1,
  { temperatureK, volts, slopes }: DeviceRest,
): readonly DeviceNoise[] {
  const [vC, vB, vE] = volts as [number, number, number];
  const opposed = (v: number) => opposedCurrents(data.saturationCurrentA, polarity * v, temperatureK);
  // Currents that cross the base from the emitter and from the collector.
  const transported = opposed(vB - vE) + opposed(vB - vC) - 2 * data.saturationCurrentA;
  const collectorA = transported * (1 - (polarity * (vB - vC)) / data.earlyV);
  const [[emitterByBE, emitterByBC], [collectorByBE, collectorByBC]] = slopes as [
    [number, number],
    [number, number],
  ];
  // A voltage in series with the base is one across both ports.
  const toEmitter = emitterByBE + emitterByBC;
  const toCollector = collectorByBE + collectorByBC;
  return [
    thermalNoise(
      noiseBaseOhms,
      temperatureK,
      [
        [BASE, toEmitter + toCollector],
        [EMITTER, -toEmitter],
        [COLLECTOR, -toCollector],
      ],
      'base resistance noise',
    ),
    shotNoise('collector shot noise', [COLLECTOR, EMITTER], collectorA),
    shotNoise('base shot noise', [BASE, EMITTER], opposed(vB - vE) / data.forwardBeta),
    shotNoise('base shot noise', [BASE, COLLECTOR], opposed(vB - vC) / data.reverseBeta),
    ...leakNoise(data, polarity * (vB - vC), temperatureK),
  ];
}

/** 2q·i_L·coth(v_BC/2V_T), as of a diode with the emission coefficient n_L: shot noise where it blocks, 4kT·g at v_BC = 0. */
function leakNoise(
  { collectorLeak }: BjtData,
  forwardV: number,
  temperatureK: number,
): readonly DeviceNoise[] {
  if (!collectorLeak) return [];
  const { saturationA: ownA, emissionCoefficient } = collectorLeak;
  const thermalV = thermalVoltage(temperatureK);
  const share = forwardV / thermalV;
  const isAtZero = Math.abs(share) < 1e-9;
  const amps = isAtZero
    ? (2 * ownA) / emissionCoefficient
    : (ownA * Math.expm1(share / emissionCoefficient)) / Math.tanh(share / 2);
  return [shotNoise('base shot noise', [BASE, COLLECTOR], amps)];
}
