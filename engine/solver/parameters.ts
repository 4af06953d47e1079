import { type DeviceKind, deviceModel, isDevice } from '../devices/devices.ts';
import { NOMINAL_TEMPERATURE_K } from '../devices/physics.ts';
import type { Network, Primitive } from '../network/network.ts';

/**
 * The numbers of a network as one flat array, in the order of its primitives. Two builds of the same
 * structure differ in this array only, so that a swapped value is sent to the audio thread as numbers.
 */

/** The numbers of one primitive: a resistor, capacitor, inductor or source has one, a device those of its model. */
export function parametersOf(primitive: Primitive, temperatureK: number): readonly number[] {
  if (isDevice(primitive)) return deviceModel(primitive.kind).numbersOf(primitive, temperatureK);
  switch (primitive.kind) {
    case 'resistor':
      return [primitive.ohms];
    case 'capacitor':
      return [primitive.farads];
    case 'inductor':
      return [primitive.henries];
    case 'voltageSource':
      return [primitive.volts];
  }
}

/** All numbers of a network, primitive after primitive. */
export function networkParameters(network: Network): Float64Array {
  const numbers = network.primitives.flatMap((primitive) => parametersOf(primitive, network.temperatureK));
  return Float64Array.from(numbers);
}

/** Index of a device's number after its offset. @throws RangeError for an unknown name. */
export function placeOf(kind: DeviceKind, name: string): number {
  const place = deviceModel(kind).parameters.indexOf(name);
  if (place < 0) throw new RangeError(`a ${kind} has no number "${name}"`);
  return place;
}

/** Index of a primitive's capacitance among its numbers; −1 if it is zero or absent: then there is no state, and the structure is another. */
export function capacitancePlace(primitive: Primitive): number {
  if (primitive.kind === 'capacitor') return 0;
  if (!isDevice(primitive)) return -1;
  const { equations, numbersOf } = deviceModel(primitive.kind);
  if (!equations?.series) return -1;
  const place = placeOf(primitive.kind, equations.series.farads);
  return numbersOf(primitive, NOMINAL_TEMPERATURE_K)[place]! > 0 ? place : -1;
}
