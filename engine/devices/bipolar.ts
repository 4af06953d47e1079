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
 * Ebers-Moll transistor in its transport form, with forward Early effect.
 *
 *   i_F = I_S·(exp(v_BE/V_T) − 1)     i_R = I_S·(exp(v_BC/V_T) − 1)
 *   i_C = (i_F − i_R)·(1 − v_BC/V_A) − i_R/β_R       i_B = i_F/β_F + i_R/β_R
 *
 * For a PNP all voltages and currents change sign.
 */
export interface BjtData {
  readonly saturationCurrentA: number;
  readonly forwardBeta: number;
  readonly reverseBeta: number;
  readonly earlyV: number;
  /** Energy gap; silicon by default. */
  readonly energyGapEv?: number;
}

export interface Bjt extends PrimitiveBase {
  readonly kind: 'npn' | 'pnp';
  readonly nodes: readonly [collector: NodeName, base: NodeName, emitter: NodeName];
  readonly data: BjtData;
  /** Base resistance, ohms; used for noise only, the equations above have none. */
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
};

/** Rise of the current gain with temperature, XTB of the published cards (2N3904: 1.5), from memory. */
const GAIN_EXPONENT = 1.5;

const [COLLECTOR, BASE, EMITTER] = [0, 1, 2];

const saturationA = parameter('saturationA');
const forwardBeta = parameter('forwardBeta');
const reverseBeta = parameter('reverseBeta');
const earlyV = parameter('earlyV');
const thermalV = parameter('thermalV');

export const NPN = bipolar(1);
export const PNP = bipolar(-1);

function bipolar(polarity: 1 | -1): DeviceModel<Bjt> {
  const junction = { polarity, saturationA: 'saturationA', emissionV: 'thermalV' } as const;
  return {
    parameters: ['saturationA', 'forwardBeta', 'reverseBeta', 'earlyV', 'thermalV'],
    numbersOf: ({ data }, temperatureK) => [
      data.saturationCurrentA,
      data.forwardBeta,
      data.reverseBeta,
      data.earlyV,
      thermalVoltage(temperatureK),
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
    netlistWords: ({ data: { saturationCurrentA, forwardBeta, reverseBeta, earlyV } }): BjtWords => ({
      saturationCurrentA,
      forwardBeta,
      reverseBeta,
      earlyV,
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

/** From base to emitter i_F/β_F + i_CT and from base to collector i_R/β_R − i_CT, i_CT = (i_F − i_R)·(1 − v_BC/V_A). */
function currents(polarity: 1 | -1, vBE: Formula, vBC: Formula): readonly Formula[] {
  const signed = (formula: Formula) => multiply(formula, number(polarity));
  const forward = junctionCurrent(signed(vBE), saturationA, thermalV, 'then');
  const reverse = junctionCurrent(signed(vBC), saturationA, thermalV, 'otherwise');
  const early = subtract(number(1), divide(signed(vBC), earlyV));
  const transport = multiply(subtract(forward, reverse), early);
  return [
    signed(add(divide(forward, forwardBeta), transport)),
    signed(subtract(divide(reverse, reverseBeta), transport)),
  ];
}

/**
 * Data of a bipolar transistor, given at 27 °C, at another temperature: I_S as that of a junction with n = 1,
 * β' = β·(T/T0)^1.5.
 */
export function bjtDataAt(data: BjtData, temperatureK: number): BjtData {
  const { energyGapEv = SILICON.energyGapEv } = data;
  const gain = (temperatureK / NOMINAL_TEMPERATURE_K) ** GAIN_EXPONENT;
  const growth = saturationGrowth({ ...SILICON, energyGapEv }, 1, temperatureK);
  return {
    ...data,
    saturationCurrentA: data.saturationCurrentA * growth,
    forwardBeta: data.forwardBeta * gain,
    reverseBeta: data.reverseBeta * gain,
  };
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
  ];
}
