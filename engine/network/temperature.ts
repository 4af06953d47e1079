import { deviceAt, isDevice } from '../devices/devices.ts';
import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import type { Network } from './network.ts';

/** Temperatures of the bench, °C: from a cold van to a place under stage lights. */
export const TEMPERATURE_RANGE_C = { lowest: -10, highest: 60, nominal: 27 } as const;

const ZERO_CELSIUS_K = 273.15;

/** Absolute temperature, K. */
export function kelvinOf(celsius: number): number {
  return celsius + ZERO_CELSIUS_K;
}

/** A temperature as text: "27 °C", with tenths if it is not whole. */
export function temperatureText(temperatureK: number): string {
  const tenths = Math.round(10 * (temperatureK - ZERO_CELSIUS_K));
  return `${String(tenths / 10).replace('-', '−')} °C`;
}

/**
 * A network with its device data moved from 27 °C, at which makers state them, to another temperature; at 27 °C
 * the same object. Thermal voltage follows from `temperatureK`. Resistors, capacitors, op-amps and converters
 * stay as they are: their drift is far below that of a junction. Each device's file says how it changes.
 *
 * @param network At NOMINAL_TEMPERATURE_K. @throws RangeError if it is not, since data would be moved twice.
 */
export function networkAtTemperature(network: Network, temperatureK: number): Network {
  if (network.temperatureK !== NOMINAL_TEMPERATURE_K)
    throw new RangeError(`the network is at ${network.temperatureK} K already`);
  if (!(temperatureK > 0)) throw new RangeError(`${temperatureK} K is not a temperature`);
  if (temperatureK === NOMINAL_TEMPERATURE_K) return network;
  return {
    ...network,
    temperatureK,
    primitives: network.primitives.map((primitive) =>
      isDevice(primitive) ? deviceAt(primitive, temperatureK) : primitive,
    ),
  };
}
