import { type Instrument, withInstrument } from '../builds/instrument.ts';
import { GROUND } from '../devices/node.ts';
import { ofPart } from '../devices/origin.ts';
import type { Network } from '../network/network.ts';
import { FrequencyResponse, logarithmicFrequencies } from './frequency-response.ts';
import { fitSections } from './noise-filter.ts';

/** Usual input of an interface's instrument socket, Ω. */
const INTERFACE_OHMS = 1e6;

export const CORRECTION_HZ: readonly number[] = logarithmicFrequencies(20, 20_000, 61);

/** Correction from a guitar at an interface's input to the same guitar at the pedal's own input. */
export interface InputCorrection {
  /** Gain at each of {@link CORRECTION_HZ}, dB. */
  readonly decibels: readonly number[];
  /** b0, b1, b2, a1, a2 of each section. */
  readonly coefficients: Float64Array;
  /** Largest difference between sections and gains, dB. */
  readonly worstDb: number;
}

/**
 * The same guitar loaded by the pedal and by the interface's 1 MΩ, one over the other,
 *
 *   H(f) = v_pedal(f)/v_interface(f)
 *
 * from the small-signal solution of both. It holds while the guitar is plugged straight into the interface, its pickup,
 * controls and cable are as stated, and the pedal's input is linear, as it is up to some volts.
 *
 * @param pedal The network of the build, without a guitar. @throws NetworkError, OperatingPointError.
 */
export function inputCorrection(
  pedal: Network,
  instrument: Instrument,
  sampleRateHz: number,
): InputCorrection {
  const withPedal = responseAt(withInstrument(pedal, instrument), pedal.input);
  const socket = interfaceNetwork(pedal.temperatureK);
  const withInterface = responseAt(withInstrument(socket, instrument), socket.input);
  const decibels = withPedal.map((value, index) => value - withInterface[index]!);
  return { decibels, ...fitSections(CORRECTION_HZ, decibels, sampleRateHz) };
}

function responseAt(network: Network, net: string): readonly number[] {
  const response = new FrequencyResponse(network);
  return CORRECTION_HZ.map((hz) => response.at(hz, net).decibels);
}

function interfaceNetwork(temperatureK: number): Network {
  return {
    input: 'in',
    output: 'in',
    rails: [],
    temperatureK,
    primitives: [{ kind: 'resistor', ...ofPart('interface'), nodes: ['in', GROUND], ohms: INTERFACE_OHMS }],
  };
}
