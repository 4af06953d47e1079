import { type Network, OPAMP_REVERSAL, type Primitive, thermalVoltage } from '../network/network.ts';

/**
 * The numbers of a network as one flat array, in the order of its primitives. Two builds of the same
 * structure differ in this array only, so that a swapped value travels to the audio thread as numbers.
 */

/** Places of a device's numbers behind its offset. */
export const DIODE = { saturationA: 0, emissionV: 1, seriesOhms: 2, farads: 3 } as const;
export const BJT = { saturationA: 0, forwardBeta: 1, reverseBeta: 2, earlyV: 3, thermalV: 4 } as const;
export const FET = { betaAPerV2: 0, thresholdV: 1, lambdaPerV: 2, gateSaturationA: 3, thermalV: 4 } as const;
export const OPAMP = {
  gainBandwidthRadPerS: 0,
  slewVPerS: 1,
  openLoopGain: 2,
  headroomHighV: 3,
  headroomLowV: 4,
  inputBiasA: 5,
  quiescentA: 6,
  commonHighV: 7,
  commonLowV: 8,
  commonReversal: 9,
} as const;

/**
 * The numbers of one primitive: a resistor, capacitor, inductor or source has one; for devices see
 * {@link DIODE}, {@link BJT}, {@link FET}, {@link OPAMP}. A diode string's are those of the whole string.
 */
export function parametersOf(primitive: Primitive, temperatureK: number): number[] {
  const vt = thermalVoltage(temperatureK);
  switch (primitive.kind) {
    case 'resistor':
      return [primitive.ohms];
    case 'capacitor':
      return [primitive.farads];
    case 'inductor':
      return [primitive.henries];
    case 'converter':
      return [primitive.outputOhms];
    case 'voltageSource':
      return [primitive.volts];
    case 'diode': {
      const { data, count } = primitive;
      return [
        data.saturationCurrentA,
        count * data.emissionCoefficient * vt,
        count * data.seriesOhms,
        data.zeroBiasCapacitanceF / count,
      ];
    }
    case 'npn':
    case 'pnp': {
      const { data } = primitive;
      return [data.saturationCurrentA, data.forwardBeta, data.reverseBeta, data.earlyV, vt];
    }
    case 'nJfet':
    case 'nMosfet': {
      const { data } = primitive;
      return [data.betaAPerV2, data.thresholdV, data.lambdaPerV, data.gateSaturationCurrentA, vt];
    }
    case 'opamp': {
      const { data } = primitive;
      return [
        2 * Math.PI * data.gainBandwidthHz,
        data.slewVPerS,
        data.openLoopGain,
        data.headroomHighV,
        data.headroomLowV,
        data.inputBiasA,
        data.quiescentA,
        // Read only where the structure says that there is a range.
        data.commonMode?.headroomHighV ?? 0,
        data.commonMode?.headroomLowV ?? 0,
        data.commonMode?.reverses ? OPAMP_REVERSAL : 1,
      ];
    }
  }
}

/** All numbers of a network, primitive after primitive. */
export function networkParameters(network: Network): Float64Array {
  const numbers = network.primitives.flatMap((primitive) => parametersOf(primitive, network.temperatureK));
  return Float64Array.from(numbers);
}
