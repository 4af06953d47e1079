import {
  type BjtData,
  BOLTZMANN_J_PER_K,
  type DiodeData,
  ELEMENTARY_CHARGE_C,
  type FetData,
  type JunctionThermal,
  type Network,
  NOMINAL_TEMPERATURE_K,
  type Primitive,
} from './network.ts';

/** What a bench may be at, °C: from a cold van to under stage lights. */
export const TEMPERATURE_RANGE_C = { lowest: -10, highest: 60, nominal: 27 } as const;

const ZERO_CELSIUS_K = 273.15;

/** Absolute temperature, K. */
export function kelvinOf(celsius: number): number {
  return celsius + ZERO_CELSIUS_K;
}

/** A temperature for reading: "27 °C", in tenths where it has any. */
export function temperatureText(temperatureK: number): string {
  const tenths = Math.round(10 * (temperatureK - ZERO_CELSIUS_K));
  return `${String(tenths / 10).replace('-', '−')} °C`;
}

/** Silicon, what a junction is that names nothing else; the defaults EG and XTI of SPICE. */
const SILICON = { by: 'gap', energyGapEv: 1.11, saturationExponent: 3 } as const;
/** Rise of the current gain with temperature, XTB of the published cards (2N3904: 1.5), from memory. */
const GAIN_EXPONENT = 1.5;
/** Mobility falls with T^-1.5; JFET cards say the same as 0.5 % a kelvin (BETATCE −0.5), from memory. */
const MOBILITY_EXPONENT = -1.5;
/** VTOTC of the published JFET cards, V/K, from memory. */
const JFET_THRESHOLD_V_PER_K = -2.5e-3;
/** Fall of a small MOSFET's threshold, V/K; from memory, sheets draw 2 to 4 mV/K. */
export const MOSFET_THRESHOLD_V_PER_K = -2e-3;
const THRESHOLD_V_PER_K = { nJfet: JFET_THRESHOLD_V_PER_K, nMosfet: MOSFET_THRESHOLD_V_PER_K } as const;

/**
 * A network whose device data are moved from 27 °C, at which makers extract them, to another temperature; the
 * same object there. Thermal voltage follows from `temperatureK`. Resistors, capacitors, op-amps and converters
 * stay as they are: their drift is far below that of a junction.
 *
 *   junction    I_S' = I_S·(T/T0)^(X/n)·exp(−(E_g/(n·k))·(1/T − 1/T0)),   so dV/dT = (V − E_g − X·V_T)/T
 *   transistor  the same with n = 1; β' = β·(T/T0)^1.5
 *   FET         V_to' = V_to + a·(T − T0), β' = β·(T/T0)^−1.5
 *
 * @param network At NOMINAL_TEMPERATURE_K. @throws RangeError where it is not: data would be moved twice.
 * @see L. W. Nagel, SPICE2 (UCB/ERL M520, 1975), temperature dependence; the division of X and E_g by n is
 * that of SPICE's IS(T), without which an n of 1.75 would fall by 5 mV/K instead of 2
 */
export function networkAtTemperature(network: Network, temperatureK: number): Network {
  if (network.temperatureK !== NOMINAL_TEMPERATURE_K)
    throw new RangeError(`the network is at ${network.temperatureK} K already`);
  if (!(temperatureK > 0)) throw new RangeError(`${temperatureK} K is no temperature`);
  if (temperatureK === NOMINAL_TEMPERATURE_K) return network;
  return {
    ...network,
    temperatureK,
    primitives: network.primitives.map((primitive) => primitiveAt(primitive, temperatureK)),
  };
}

function primitiveAt(primitive: Primitive, temperatureK: number): Primitive {
  switch (primitive.kind) {
    case 'diode':
      return { ...primitive, data: diodeDataAt(primitive.data, temperatureK) };
    case 'npn':
    case 'pnp':
      return { ...primitive, data: bjtDataAt(primitive.data, temperatureK) };
    case 'nJfet':
    case 'nMosfet':
      return { ...primitive, data: fetDataAt(primitive.data, primitive.kind, temperatureK) };
    default:
      return primitive;
  }
}

/** Data of a junction, given at 27 °C, at another temperature. */
export function diodeDataAt(data: DiodeData, temperatureK: number): DiodeData {
  const { thermal = SILICON, emissionCoefficient, saturationCurrentA } = data;
  if (thermal.by === 'gap') {
    const growth = saturationGrowth(thermal, emissionCoefficient, temperatureK);
    return { ...data, saturationCurrentA: saturationCurrentA * growth };
  }
  // Breakdown keeps its shape in volts and moves along the voltage axis.
  const efoldV = (emissionCoefficient * BOLTZMANN_J_PER_K * NOMINAL_TEMPERATURE_K) / ELEMENTARY_CHARGE_C;
  const shiftV = thermal.voltsPerK * (temperatureK - NOMINAL_TEMPERATURE_K);
  return {
    ...data,
    saturationCurrentA: saturationCurrentA * Math.exp(-shiftV / efoldV),
    emissionCoefficient: (emissionCoefficient * NOMINAL_TEMPERATURE_K) / temperatureK,
  };
}

/** Data of a bipolar transistor, given at 27 °C, at another temperature. */
export function bjtDataAt(data: BjtData, temperatureK: number): BjtData {
  const { energyGapEv = SILICON.energyGapEv } = data;
  const gain = (temperatureK / NOMINAL_TEMPERATURE_K) ** GAIN_EXPONENT;
  return {
    ...data,
    saturationCurrentA:
      data.saturationCurrentA * saturationGrowth({ ...SILICON, energyGapEv }, 1, temperatureK),
    forwardBeta: data.forwardBeta * gain,
    reverseBeta: data.reverseBeta * gain,
  };
}

/** Data of a field-effect transistor, given at 27 °C, at another temperature. */
export function fetDataAt(data: FetData, kind: 'nJfet' | 'nMosfet', temperatureK: number): FetData {
  const { thresholdVPerK = THRESHOLD_V_PER_K[kind] } = data;
  return {
    ...data,
    betaAPerV2: data.betaAPerV2 * (temperatureK / NOMINAL_TEMPERATURE_K) ** MOBILITY_EXPONENT,
    thresholdV: data.thresholdV + thresholdVPerK * (temperatureK - NOMINAL_TEMPERATURE_K),
    gateSaturationCurrentA: data.gateSaturationCurrentA * saturationGrowth(SILICON, 1, temperatureK),
  };
}

/** I_S(T)/I_S(T0) of a junction. */
function saturationGrowth(
  { energyGapEv, saturationExponent }: Extract<JunctionThermal, { by: 'gap' }>,
  emissionCoefficient: number,
  temperatureK: number,
): number {
  const gapK = (energyGapEv * ELEMENTARY_CHARGE_C) / BOLTZMANN_J_PER_K;
  const exponent = (gapK / emissionCoefficient) * (1 / NOMINAL_TEMPERATURE_K - 1 / temperatureK);
  return (
    (temperatureK / NOMINAL_TEMPERATURE_K) ** (saturationExponent / emissionCoefficient) * Math.exp(exponent)
  );
}
